/** Practice machines: the same code is the same machine, its record plays back, and the envelope accounts for it. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { Catalog } from "../../engine/catalog/schema.js";
import { arrivalOfDeal, codeOf, dealOf, ticketOfDeal, type Deal } from "../../engine/practice/deal.js";
import { DIFFICULTIES, type DifficultyId } from "../../engine/practice/difficulties.js";
import { costliest, openEnvelope } from "../../engine/practice/envelope.js";
import { actionsOf, Session, startAction } from "../../engine/practice/session.js";
import type { Entry, EntryOf, Ticket } from "../../engine/ticket/schema.js";
import { parseTicket } from "../../engine/weigh.js";
import { moveParts } from "../../explorer/bench/ticket-edits.js";
import { isDoing, keepsAnswers, withAnswer } from "../../explorer/practice/answers.js";
import { diff } from "../../explorer/store/patch.js";
import { catalog } from "./small.js";

const deal = (over: Partial<Deal> = {}): Deal => ({
  catalog: catalog.id,
  version: catalog.version,
  difficulty: "fitful",
  theme: "any",
  seed: 5,
  ...over,
});
const begin = (of = deal()) => {
  const arrival = arrivalOfDeal(catalog, of);
  return { arrival, session: new Session(catalog, arrival), ticket: ticketOfDeal(catalog, of, "Ada") };
};

/** The record after so many starts, as the page would write them. */
function started(session: Session, ticket: Ticket, times: number): Ticket {
  const row: EntryOf<"starts"> = { kind: "starts", id: "row", trials: [] };
  for (let k = 0; k < times; k++) {
    const now = row.trials.length > 0 ? { ...ticket, entries: [...ticket.entries, row] } : ticket;
    const answer = session.ask(now, startAction(catalog, {}));
    if ("issues" in answer) throw new Error(JSON.stringify(answer.issues));
    row.trials = [
      ...row.trials,
      ...(answer.answered[0] as EntryOf<"starts">).trials.map(({ outcome }) => ({ outcome })),
    ];
  }
  return { ...ticket, entries: [...ticket.entries, row] };
}

const ended = (ticket: Ticket, ending: "release" | "return", confirmed: string[] = []): Ticket => ({
  ...ticket,
  entries: [...ticket.entries, { kind: "release", id: "end", confirmed }],
  practice: { ...ticket.practice!, ending },
});

describe("a deal", () => {
  test("a code reads back as the deal; what is wrong with one is said, all at once", () => {
    expect(dealOf(codeOf(deal()).split("/"), [catalog])).toEqual({ deal: deal(), catalog });
    const wrong = dealOf(["nowhere", "1", "impossible", "any", "-1"], [catalog]);
    expect("issues" in wrong && wrong.issues.map((x) => x.path)).toEqual(["catalog", "difficulty", "seed"]);
    const old = dealOf(codeOf(deal({ version: "0" })).split("/"), [catalog]);
    expect("issues" in old && old.issues[0]!.message).toContain(`version: found "0"`);
  });

  test.each(Object.keys(DIFFICULTIES) as DifficultyId[])(
    "%s: truths are what the difficulty allows",
    (difficulty) => {
      const [low, high] = DIFFICULTIES[difficulty].rates;
      for (let seed = 0; seed < 25; seed++) {
        const { truth } = arrivalOfDeal(catalog, deal({ difficulty, seed })).machine;
        const spares = truth.causes.filter((i) => truth.model.causes[i]!.part === "s2").length;
        if (difficulty === "plain" || difficulty === "fitful")
          expect([truth.causes.length, spares]).toEqual([1, 0]);
        if (difficulty === "double") expect([truth.causes.length, spares]).toEqual([2, 0]);
        for (const rate of truth.rates) expect(rate >= low && rate <= high).toBe(true);
      }
    },
  );

  test("a theme narrows the truth to its group; one that the machine lacks is refused", () => {
    for (let seed = 0; seed < 10; seed++) {
      const { truth } = arrivalOfDeal(catalog, deal({ theme: "contact", seed })).machine;
      expect(truth.model.causes[truth.causes[0]!]!.group).toBe("contact");
    }
    expect(() => arrivalOfDeal(catalog, deal({ theme: "heat" }))).toThrow("theme: found heat");
  });

  test("where the difficulty names no theme, none is looked at", () => {
    const [any, other] = ["any", "heat"].map((theme) =>
      arrivalOfDeal(catalog, deal({ difficulty: "relapse", theme, seed: 3 })),
    );
    for (const { machine } of [any!, other!]) {
      const { truth } = machine;
      expect(truth.relapse).toBeGreaterThan(0);
      expect(truth.causes.map((i) => truth.model.causes[i]!.template)).toEqual(["loose-slot"]);
    }
  });

  test("the ticket on the bench does not hold the truth", () => {
    const { arrival, ticket } = begin();
    for (const rate of arrival.machine.truth.rates)
      expect(JSON.stringify(ticket)).not.toContain(String(rate));
  });
});

describe("a session", () => {
  test("the same code and the same actions give the same answers, asked at once or one by one", () => {
    const [one, two] = [begin(), begin()];
    const record = started(one.session, one.ticket, 8);
    expect(started(two.session, two.ticket, 8)).toEqual(record);
    const fresh = new Session(catalog, one.arrival).play(record);
    expect("moves" in fresh && fresh.moves).toHaveLength(8);
    const others = [6, 7, 8, 9].map((seed) => {
      const other = begin(deal({ seed }));
      return JSON.stringify(started(other.session, other.ticket, 8).entries.at(-1));
    });
    expect(others.some((row) => row !== JSON.stringify(record.entries.at(-1)))).toBe(true);
  });

  test("a record that went through a file, its keys in another order, is the same record", () => {
    const { session, ticket } = begin();
    const read = parseTicket(JSON.parse(JSON.stringify(started(session, ticket, 3))));
    if (!("ticket" in read)) throw new Error(JSON.stringify(read.issues));
    expect(new Session(catalog, session.arrival).play(read.ticket)).toHaveProperty("moves");
    expect(keepsAnswers(started(session, ticket, 3), read.ticket)).toBe(true);
  });

  test("a record that says otherwise than the machine is refused, and where", () => {
    const { session, ticket } = begin();
    const record = started(session, ticket, 4);
    const row = record.entries.at(-1) as EntryOf<"starts">;
    const forged = structuredClone(record);
    const other = row.trials[0]!.outcome === "clean" ? "dead" : "clean";
    (forged.entries.at(-1) as EntryOf<"starts">).trials[0]!.outcome = other;
    const played = session.play(forged);
    expect("issues" in played && played.issues[0]!.path).toBe(`entries[${forged.entries.length - 1}]`);
    const emptied = { ...record, entries: record.entries.slice(1) };
    expect(session.play(emptied)).toHaveProperty("issues");
  });

  test("a repair that needs a start makes the tries, which are not made again when the record is played", () => {
    const { session, ticket } = begin();
    const asked = actionsOf(catalog, { kind: "repair", id: "x", repair: "retrain", on: "m1" });
    const answer = session.ask(ticket, asked[0]!);
    if ("issues" in answer) throw new Error("refused");
    expect(answer.answered.map((e) => e.kind)).toEqual(["starts", "repair"]);
    const record = withAnswer(ticket, answer, "2030-01-01T08:00:00.000Z");
    const played = new Session(catalog, session.arrival).play(record);
    expect("moves" in played && played.moves.map((m) => m.minutes)).toEqual([answer.minutes]);
  });

  test("what was moved is charged as it is moved, before anything is asked again", () => {
    const { session, ticket } = begin();
    const record = started(session, ticket, 2);
    const moved: Ticket = {
      ...record,
      entries: [...record.entries, { kind: "change", id: "m", fit: { bay: "spare-supply" } }],
    };
    // two starts of 1.5 minutes; the supply out takes 6, another one in 8
    expect(session.soFar(record)).toEqual({ minutes: 3, money: 0 });
    expect(session.soFar(moved)).toEqual({ minutes: 17, money: 0 });
    expect(session.soFar({ ...moved, entries: [] })).toHaveProperty("issues");
  });

  test("a finding that still holds is not looked at twice", () => {
    const { session, ticket } = begin();
    const finding = catalog.findings![0]!;
    const action = actionsOf(catalog, { kind: "finding", id: "x", finding: finding.id, value: "" })[0]!;
    const first = session.ask(ticket, action);
    if ("issues" in first) throw new Error("refused");
    expect(session.ask(withAnswer(ticket, first, ""), action)).toHaveProperty("issues");
  });
});

describe("what may still be changed", () => {
  const { session, ticket } = begin();
  const record = started(session, ticket, 3);
  const moved: Ticket = {
    ...record,
    entries: [...record.entries, { kind: "change", id: "m", fit: { A1: null } }],
  };

  test("what was moved since the last answer, notes, minutes; not the answers nor what was done before them", () => {
    expect(keepsAnswers(record, moved)).toBe(true);
    expect(keepsAnswers(moved, record)).toBe(true);
    const timed = record.entries.map((e): Entry => ({ ...e, minutes: 9, note: "hm" }));
    expect(keepsAnswers(record, { ...record, entries: timed })).toBe(true);
    expect(keepsAnswers(record, { ...record, entries: record.entries.slice(0, -1) })).toBe(false);
    expect(
      keepsAnswers(record, { ...record, entries: record.entries.filter((e) => e.kind !== "change") }),
    ).toBe(record.entries.every((e) => e.kind !== "change"));
    const shorter = structuredClone(record);
    (shorter.entries.at(-1) as EntryOf<"starts">).trials.pop();
    expect(keepsAnswers(record, shorter)).toBe(false);
    expect(keepsAnswers(shorter, record)).toBe(true);
  });

  test("not what was set as it came in: a part that is moved first of all is a move of its own", () => {
    const desktop = Catalog.parse(
      JSON.parse(readFileSync(new URL("../../priors/desktop.json", import.meta.url), "utf8")),
    );
    const of = deal({ catalog: desktop.id, version: desktop.version });
    const dealt = ticketOfDeal(desktop, of, "");
    const moved = moveParts(dealt, { board: "spare-board" }, "2030-01-01T08:00:00.000Z");
    expect(moved.entries.map((entry) => entry.kind)).toEqual(["intake", "starts", "change", "change"]);
    expect(new Session(desktop, arrivalOfDeal(desktop, of)).play(moved)).toHaveProperty("moves.length", 1);
    expect(keepsAnswers(dealt, moved)).toBe(true);
    expect(keepsAnswers(moved, dealt)).toBe(true);
    expect(keepsAnswers(dealt, { ...dealt, entries: dealt.entries.slice(0, -1) })).toBe(false);
    const bare = dealt.entries.map(({ note: _, ...entry }) => entry as Entry);
    expect(keepsAnswers(dealt, { ...dealt, entries: bare })).toBe(false);
  });

  test("not the machine, nor hints taken, nor anything once it is handed over", () => {
    expect(keepsAnswers(record, { ...record, machine: { ...record.machine, ageYears: 1 } })).toBe(false);
    const hinted = { ...record, practice: { ...record.practice!, hints: 1 } };
    expect(keepsAnswers(record, hinted)).toBe(true);
    expect(keepsAnswers(hinted, record)).toBe(false);
    const over = ended(record, "release");
    expect(keepsAnswers(record, over)).toBe(true);
    expect(keepsAnswers(over, record)).toBe(false);
    expect(
      keepsAnswers(over, { ...over, entries: [...over.entries, { kind: "change", id: "z", fit: {} }] }),
    ).toBe(false);
  });

  test("a note written or taken back is nothing done to the machine; what is asked of it is, and a hint", () => {
    const does = (before: Ticket, after: Ticket) => isDoing(diff(before, after)!);
    const withEntry = (entry: Entry) => ({ ...record, entries: [...record.entries, entry] });
    const noted = withEntry({ kind: "note", id: "n", text: "A hum." });
    expect([does(record, noted), does(noted, record)]).toEqual([false, false]);
    expect(does(record, { ...record, title: "Mine" })).toBe(false);
    expect(does(record, withEntry({ kind: "change", id: "z", fit: {} }))).toBe(true);
    expect(does(noted, { ...noted, entries: noted.entries.slice(1) })).toBe(true);
    const hinted = { ...record, practice: { ...record.practice!, hints: 1 } };
    expect(does(record, hinted)).toBe(true);
    const last = record.entries.findLastIndex((entry) => entry.kind === "starts");
    const more = record.entries.map((entry, k) =>
      k === last && entry.kind === "starts"
        ? { ...entry, trials: [...entry.trials, { outcome: "clean" }] }
        : entry,
    );
    expect(does(record, { ...record, entries: more })).toBe(true);
  });
});

describe("the envelope", () => {
  const { arrival, session, ticket } = begin();
  const { truth } = arrival.machine;
  const cause = truth.model.causes[truth.causes[0]!]!;

  test("is not opened before the machine is handed over", () =>
    expect(openEnvelope(catalog, arrival, started(session, ticket, 2))).toHaveProperty("issues"));

  test("tells the truth, and charges minutes, parts and hints as the race does", () => {
    const worked = ended(started(session, ticket, 4), "return", [cause.id]);
    const opened = openEnvelope(catalog, arrival, { ...worked, practice: { ...worked.practice!, hints: 2 } });
    if (!("envelope" in opened)) throw new Error("not opened");
    const { envelope } = opened;
    expect(envelope.truth.causes).toMatchObject([{ id: cause.id, rate: truth.rates[0] }]);
    // four starts of 1.5 minutes, given back: 200
    expect(envelope.own).toMatchObject({ minutes: 6, money: 0, outcome: "returned", right: true });
    expect(envelope.own.total).toBeCloseTo((6 * 40) / 60 + 200, 9);
    const share = Math.min(1, envelope.engine.total / envelope.own.total);
    // half for the cost, a quarter for the name, none for a machine given back, two hints
    expect(envelope.points).toBe(Math.round(50 * share + 25) - 10);
    expect(envelope.engine.steps.length).toBe(envelope.engine.actions + 1);
  });

  test("the engine's steps are sentences, parts by their names", () => {
    for (let seed = 0; seed < 12; seed++) {
      const { arrival, ticket } = begin(deal({ seed, difficulty: "plain" }));
      const opened = openEnvelope(catalog, arrival, ended(ticket, "return"));
      if (!("envelope" in opened)) throw new Error("not opened");
      for (const step of opened.envelope.engine.steps) {
        expect(step).toMatch(/^[A-Z].*\.$/);
        expect(step).not.toMatch(/ 0 times|spare-/);
      }
    }
  });

  test("starts beyond all need are the dearer the more there are, and the ending has its price", () => {
    const loss = (times: number) =>
      costliest(catalog, arrival, ended(started(new Session(catalog, arrival), ticket, times), "return"));
    const [few, many] = [loss(1), loss(25)];
    const of = (moments: typeof few, entry: string) => moments.find((m) => m.entry === entry)?.loss ?? 0;
    expect(of(many, "row")).toBeGreaterThan(of(few, "row"));
    expect(of(many, "end")).toBeGreaterThan(0);
    expect(many.map((m) => m.loss)).toEqual([...many.map((m) => m.loss)].sort((x, y) => y - x));
  });
});
