/** What comes back from a class: each record a row of its own, copies said, the machine named, losses with their minutes. */
import { describe, expect, test, vi } from "vitest";
import {
  arrivalOfDeal,
  codeOf,
  dealOf,
  MOST_SEED,
  ticketOfDeal,
  type Deal,
} from "../../engine/practice/deal.js";
import { costliest, openEnvelope } from "../../engine/practice/envelope.js";
import { Session, startAction } from "../../engine/practice/session.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { copied, MOST_IN_SET, setOf, sheetCsv, whose } from "../../explorer/practice/class-set.js";
import { ClassSheet } from "../../explorer/practice/class-sheet.svelte.js";
import type { Ask } from "../../explorer/practice/client.js";
import type { Question } from "../../explorer/practice/messages.js";
import { catalog } from "../practice/small.js";

const deal: Deal = {
  catalog: catalog.id,
  version: catalog.version,
  difficulty: "fitful",
  theme: "any",
  seed: 5,
};
const arrival = arrivalOfDeal(catalog, deal);

/** The worker's answers, in the same thread. */
const machines = ((question: Question) =>
  Promise.resolve(
    question.ask === "open"
      ? openEnvelope(catalog, arrival, question.ticket)
      : question.ask === "moments"
        ? { moments: costliest(catalog, arrival, question.ticket) }
        : { issues: [] },
  )) as Ask;
/** @param heard  told of every question */
const sheet = (heard: (ask: string) => void = () => undefined) => {
  const listening = ((question: Question) => {
    heard(question.ask);
    return machines(question);
  }) as Ask;
  return new ClassSheet({ catalogs: [catalog], machines: listening }, (text) =>
    Promise.resolve({ ticket: JSON.parse(text) as Ticket }),
  );
};

/** Two starts, then given back. @param at  when the machine was handed over */
function record(by: string, at: string): string {
  const ticket = ticketOfDeal(catalog, deal, by);
  const session = new Session(catalog, arrival);
  const starts = [1, 2].reduce((before, k) => {
    const answer = session.ask(before, startAction(catalog, {}));
    if ("issues" in answer) throw new Error(JSON.stringify(answer.issues));
    return { ...before, entries: [...before.entries, { ...answer.answered[0]!, id: `r${k}` } as Entry] };
  }, ticket);
  const end: Entry = { kind: "release", id: "end", at, confirmed: [] };
  const practice = { ...ticket.practice!, ending: "return" as const };
  return JSON.stringify({ ...starts, entries: [...starts.entries, end], practice });
}
const [MORNING, NOON] = ["2030-01-01T08:00:00.000Z", "2030-01-01T12:00:00.000Z"];

describe("a set of machines", () => {
  const kind = { difficulty: "fitful", theme: "any" } as const;
  const pathsOf = (count: number | null, first: number | null) => {
    const set = setOf(catalog, { ...kind, count, first });
    return "issues" in set ? set.issues.map(({ path }) => path) : set.deals.map(({ seed }) => seed);
  };

  test("is numbered on from the first, and every link in it leads to a machine", () => {
    expect(pathsOf(3, 7)).toEqual([7, 8, 9]);
    const set = setOf(catalog, { ...kind, count: MOST_IN_SET, first: MOST_SEED - MOST_IN_SET });
    if ("issues" in set) throw new Error("refused");
    for (const one of set.deals) expect(dealOf(codeOf(one).split("/"), [catalog])).toHaveProperty("deal");
  });

  test("a number that is none, or not whole, or beyond every link, is refused and said", () => {
    expect(pathsOf(4, 1.5)).toEqual(["from number"]);
    expect(pathsOf(0, 1)).toEqual(["how many"]);
    expect(pathsOf(2.5, MOST_SEED)).toEqual(["how many", "from number"]);
    expect(pathsOf(null, null)).toEqual(["how many", "from number"]);
  });
});

describe("records that come back", () => {
  test("files of one name from two trainees are two rows, each under its name and machine", async () => {
    const own = sheet();
    await own.add([{ name: "practice-5.json", text: record("Bea", MORNING) }]);
    await own.add([{ name: "practice-5.json", text: record("Ada", NOON) }]);
    expect(own.rows.map((row) => [whose(row), row.deal, row.result?.own.outcome])).toEqual([
      ["Ada", deal, "returned"],
      ["Bea", deal, "returned"],
    ]);
    expect(own.rows.map((row) => copied(own.rows, row))).toEqual([null, null]);
  });

  test("every record is opened before the first is judged, and one taken off is not judged", async () => {
    const asked: string[] = [];
    const own = sheet((question) => asked.push(question));
    await own.add([
      { name: "ada.json", text: record("Ada", NOON) },
      { name: "bea.json", text: record("Bea", MORNING) },
    ]);
    expect(asked).toEqual(["open", "open", "moments", "moments"]);
    asked.length = 0;
    const adding = own.add([{ name: "cy.json", text: record("Cy", NOON) }]);
    await vi.waitFor(() => expect(own.rows).toHaveLength(3));
    own.takeOff(own.rows.find((row) => row.by === "Cy")!.key);
    await adding;
    expect(own.rows.map((row) => row.by)).toEqual(["Ada", "Bea"]);
  });

  test("the same record twice is said, under whatever name it comes", async () => {
    const own = sheet();
    await own.add([{ name: "bea.json", text: record("Bea", MORNING) }]);
    await own.add([{ name: "again.json", text: record("Ada", MORNING) }]);
    const [ada, bea] = own.rows;
    expect([copied(own.rows, ada!)?.file, copied(own.rows, bea!)]).toEqual(["bea.json", null]);
    expect(sheetCsv(own.rows).split("\n")[0]).toContain("same record as");
    own.takeOff(bea!.key);
    expect(own.rows).toHaveLength(1);
    expect(copied(own.rows, own.rows[0]!)).toBe(null);
  });

  test("two files that were not read are no copies of each other", async () => {
    const own = new ClassSheet({ catalogs: [catalog], machines }, () =>
      Promise.resolve({ issues: [{ path: "file", found: "{", expected: "a record", message: "no record" }] }),
    );
    await own.add([{ name: "one.json", text: "{" }]);
    await own.add([{ name: "two.json", text: "{" }]);
    expect(own.rows.map((row) => copied(own.rows, row))).toEqual([null, null]);
  });

  test("what was lost stands with the minutes it took", async () => {
    const own = sheet();
    await own.add([{ name: "ada.json", text: record("Ada", NOON) }]);
    const lost = own.rows[0]!.lost!;
    expect(lost.find(({ entry }) => entry === "end")).toMatchObject({
      heading: "Handing it over",
      minutes: 0,
    });
    // starts of 1.5 minutes, each an entry of its own
    const starts = lost.filter(({ entry }) => entry !== "end");
    expect(starts.length).toBeGreaterThan(0);
    for (const { minutes } of starts) expect(minutes).toBe(1.5);
    expect(sheetCsv(own.rows)).toContain("minutes of it");
  });
});
