import { describe, expect, test } from "vitest";
import { parseCatalog, parseTicket, pathText, show } from "../../engine/ticket/parse.js";
import { catalog, ticket } from "../plan/small.js";

const messages = (parsed: object): string[] =>
  "issues" in parsed ? (parsed.issues as { message: string }[]).map((x) => x.message) : [];

/** The kiosk's ticket with something laid over its top. */
const said = (changes: object) => messages(parseTicket({ ...structuredClone(ticket()), ...changes }));
const saidOfEntry = (entry: object) => said({ entries: [{ id: "e", ...entry }] });
const saidOfCause = (changes: object) =>
  messages(
    parseCatalog({ ...catalog, causes: [{ ...catalog.causes[0], ...changes }, ...catalog.causes.slice(1)] }),
  );

test("a good ticket and a good catalog come through as they are", () => {
  expect(parseTicket(ticket())).toEqual({ ticket: ticket() });
  expect(parseCatalog(catalog)).toEqual({ catalog });
});

test("a currency is three capital letters, whichever", () => {
  expect(parseTicket({ ...ticket(), currency: "EUR" })).toEqual({ ticket: { ...ticket(), currency: "EUR" } });
  for (const currency of ["eur", "EURO", "€"])
    expect(said({ currency })).toEqual([
      `currency: found "${currency}", expected a code of three capital letters, such as EUR`,
    ]);
});

describe("the format is looked at first, and alone", () => {
  test.each([
    [null, "file: found null, expected an object"],
    [[1, 2], "file: found a list of 2, expected an object"],
    ["text", 'file: found "text", expected an object'],
    [{}, 'format: found nothing, expected "fitful/ticket@1"'],
    [{ format: 1 }, 'format: found 1, expected "fitful/ticket@1"'],
    [{ format: "fitful/catalog@1" }, 'format: found "fitful/catalog@1", expected "fitful/ticket@1"'],
    [
      { format: "fitful/ticket@2" },
      'format: found "fitful/ticket@2", expected at most fitful/ticket@1: this file is from a newer version of fitful',
    ],
  ])("%j", (data, message) => expect(messages(parseTicket(data))).toEqual([message]));
});

test("every fault is named at once, with its place, what was found and what was expected", () => {
  const { machine } = ticket();
  expect(
    said({ machine: { ...machine, ageYears: "three", colour: "red" }, options: { maxCauses: 7 }, title: "" }),
  ).toEqual([
    'title: found "", expected a length of at least 1',
    'machine.ageYears: found "three", expected a number',
    "machine.colour: found a key that is not known here, expected only the keys of the format",
    "options.maxCauses: found 7, expected a number of at most 3",
  ]);
});

describe("a fault in something that may be of several shapes is told of the likeliest one", () => {
  test.each<[object, string]>([
    [{ kind: "startz" }, 'entries[0].kind: found "startz", expected a known kind of entry'],
    [{ kind: "starts" }, "entries[0].trials: found nothing, expected an array"],
    [
      { kind: "starts", trials: [{ outcome: 3 }] },
      "entries[0].trials[0].outcome: found 3, expected a string or an array",
    ],
    [
      { kind: "starts", trials: [{ outcome: [] }] },
      "entries[0].trials[0].outcome: found a list of 0, expected a length of at least 1",
    ],
    [
      { kind: "starts", trials: [{ outcome: "no picture" }] },
      'entries[0].trials[0].outcome: found "no picture", expected an id of letters, digits, - and _',
    ],
    [
      { kind: "starts", trials: [{ outcome: "dead", n: 0 }] },
      "entries[0].trials[0].n: found 0, expected a number of at least 1",
    ],
    [{ kind: "starts", trials: [], trust: 0 }, "entries[0].trust: found 0, expected a number above 0"],
    [
      { kind: "reading", reading: "rail", value: true },
      "entries[0].value: found true, expected a number or a string",
    ],
    [{ kind: "change", fit: { A1: 3 } }, "entries[0].fit.A1: found 3, expected a string"],
  ])("%j", (entry, message) => expect(saidOfEntry(entry)).toEqual([message]));

  test.each<[object, string]>([
    [{ rate: { value: "often" } }, 'causes[0].rate.value: found "often", expected a number'],
    [{ intermittency: { hard: 0.1, a: 1 } }, "causes[0].intermittency.b: found nothing, expected a number"],
    [{ per: { part: 3 } }, "causes[0].per.part: found 3, expected a string"],
    [{ exposure: true }, "causes[0].exposure: found true, expected a number or a string"],
  ])("%j", (changes, message) => expect(saidOfCause(changes)).toEqual([message]));

  test("a word that is none of several is told all of them", () => {
    const [message] = saidOfCause({ per: "house" });
    expect(message).toMatch(/^causes\[0\]\.per: found "house", expected .*"machine"/);
    expect(message).toContain('"donor"');
  });
});

test("a catalog that has the right shape is checked for sense too", () => {
  expect(saidOfCause({ signature: { memory: 0.9 } })).toEqual([
    "causes[0].signature: found chances that add up to 0.9, expected a sum of 1",
  ]);
});

test("a place is written as one would write it in code", () => {
  expect(pathText(["entries", 3, "trials", 0, "outcome"])).toBe("entries[3].trials[0].outcome");
  expect(pathText([])).toBe("");
});

test("a long text is cut, a list and an object are named as such", () => {
  expect(show("x".repeat(500))).toHaveLength(78);
  expect([show([1, 2, 3]), show({ a: 1 }), show(undefined), show(null)]).toEqual([
    "a list of 3",
    "an object",
    "nothing",
    "null",
  ]);
});
