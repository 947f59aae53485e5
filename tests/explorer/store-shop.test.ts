import { afterEach, describe, expect, test } from "vitest";
import { found, namesIn, standingOf } from "../../explorer/list/bench-list.js";
import { money, useCurrency } from "../../explorer/bench/format.js";
import { inCurrency } from "../../explorer/store/currency.js";
import { NO_SHOP, shopIssues, shopTerms } from "../../explorer/store/shop.js";
import { troubleOf } from "../../explorer/store/trouble.js";
import {
  figureIn,
  figureOut,
  refusedIssues,
  withField,
  type Figure,
  type Refused,
} from "../../explorer/shop/figures.js";
import { keeping, restoredWords, savedWords } from "../../explorer/shop/words.js";
import { catalog, ticket } from "./small.js";

afterEach(() => useCurrency(null));

describe("the shop's settings", () => {
  test("a new ticket takes what is set, and leaves the rest to the catalog", () => {
    expect(shopTerms(NO_SHOP, catalog)).toEqual({});
    expect(shopTerms({ ...NO_SHOP, labourPerHour: 0, comeback: 70, days: 60 }, catalog)).toEqual({
      labourPerHour: 0,
      terms: { comeback: 70 },
      release: { days: 60 },
    });
  });

  test("starts a day are spread over cold and warm as the catalog has them", () => {
    const perDay = [
      { conditions: { rest: "cold" }, perDay: 1 },
      { conditions: { rest: "warm" }, perDay: 3 },
    ];
    const terms = shopTerms({ ...NO_SHOP, perDay: 8 }, { ...catalog, release: { perDay } });
    expect(terms.release?.perDay).toEqual([
      { conditions: { rest: "cold" }, perDay: 2 },
      { conditions: { rest: "warm" }, perDay: 6 },
    ]);
    expect(shopTerms({ ...NO_SHOP, perDay: 8 }, catalog).release).toEqual({ perDay: 8 });
  });

  test.each([
    [{ ...NO_SHOP, limit: 1.2 }, "shop.limit: found 1.2, expected a number from 0 to 1"],
    [{ ...NO_SHOP, labourPerHour: -3 }, "shop.labourPerHour: found -3, expected a number from 0 to 1000000"],
    [{ ...NO_SHOP, days: 0 }, "shop.days: found 0, expected a number from 1 to 10000"],
    [{ ...NO_SHOP, perDay: NaN }, "shop.perDay: found null, expected a number from 0 to 1000"],
    [{ ...NO_SHOP, currency: "euro" }, "shop.currency: found euro, expected a code of three letters"],
    [
      { ...NO_SHOP, rate: 4 },
      "shop.rate: found a key that is not known here, expected only the keys of the format",
    ],
    [null, "shop: found null, expected an object"],
  ])("%j is refused in words", (data, message) => {
    expect(shopIssues(data).map((issue) => issue.message)).toEqual([message]);
  });
});

const labour: Figure = { key: "labourPerHour", label: "Labour", scale: 1 };
const share: Figure = { key: "limit", label: "Limit", scale: 100 };

test("figures are read as typed, with a point or a comma, and shown without what rounding adds", () => {
  expect(["42.50", "42,50", " "].map((text) => figureIn(text, labour))).toEqual([
    { value: 42.5 },
    { value: 42.5 },
    { value: null },
  ]);
  for (const text of ["4.250,5", "4 250", "1e3", "forty"])
    expect(figureIn(text, labour)).toMatchObject({ issue: { path: "Labour", found: text } });
  for (let percent = 0; percent <= 100; percent++) {
    const read = figureIn(`${percent}`, share);
    expect(figureOut("value" in read ? read.value : null, share)).toBe(`${percent}`);
  }
  expect(figureOut(null, share)).toBe("");
});

test("what is out of range is said as it was typed, and a per cent may have its sign", () => {
  const said = (text: string, figure: Figure) => {
    const read = figureIn(text, figure);
    return "issue" in read ? read.issue.message : read.value;
  };
  expect(["5 %", "5%", "2,5 %"].map((text) => said(text, share))).toEqual([0.05, 0.05, 0.025]);
  expect(said("120 %", share)).toBe("Limit: found 120 %, expected a number from 0 to 100");
  expect(said(" 120", share)).toBe("Limit: found 120, expected a number from 0 to 100");
  expect(said("-3", labour)).toBe("Labour: found -3, expected a number from 0 to 1000000");
  for (const text of ["%", "5 %%", "five %"]) expect(said(text, share)).toMatch(/expected a number such as/);
  expect(said("5 %", labour)).toMatch(/expected a number such as/);
});

test("every field that was refused is named, in the fields' order, until what it holds is right", () => {
  const type = (refused: Refused, figure: Figure, text: string) => {
    const typed = figureIn(text, figure);
    return withField(refused, figure.key, text, "issue" in typed ? typed.issue : null);
  };
  const named = (refused: Refused) =>
    refusedIssues(refused, [labour, share]).map(({ path, found }) => [path, found]);
  const both = type(type(new Map(), share, "120"), labour, "abc");
  expect(named(both)).toEqual([
    ["Labour", "abc"],
    ["Limit", "120"],
  ]);
  expect(named(type(both, labour, " def"))[0]).toEqual(["Labour", "def"]);
  expect(named(type(both, labour, "20"))).toEqual([["Limit", "120"]]);
  expect(named(type(type(both, labour, ""), share, "5"))).toEqual([]);
  expect(named(both)).toHaveLength(2);
});

test("what is saved is said so, and what is left out beside it", () => {
  expect([savedWords(true, true), savedWords(true, false)]).toEqual([
    "Saved.",
    "Saved. What is named below is left out.",
  ]);
  expect(savedWords(false, true)).toBe("Holds until the window is closed: there is no database.");
});

test("money is shown in the shop's currency, in whole units from ten on", () => {
  expect([money(4.56), money(123.4), money(-2.5)]).toEqual(["4.6", "123", "-2.5"]);
  expect([0, 5, 50, 0.01, -0.01, 9.98, -2].map(money)).toEqual(["0", "5", "50", "0", "0", "10", "-2"]);
  useCurrency("EUR");
  expect([money(4.56), money(123.4), money(-2)]).toEqual(["€4.56", "€123", "-€2.00"]);
  useCurrency("JPY");
  expect(money(4.56)).toBe("JP¥5");
});

test("a ticket that says what its money is in keeps to it", () => {
  expect(inCurrency(ticket, "EUR").currency).toBe("EUR");
  expect(inCurrency({ ...ticket, currency: "NZD" }, "EUR").currency).toBe("NZD");
  for (const none of [null, undefined]) expect(inCurrency(ticket, none)).toBe(ticket);
});

describe("the list of tickets", () => {
  const stored = (of: typeof ticket) => ({
    id: of.id,
    ticket: of,
    savedAt: "",
    summary: { leading: [{ name: "Weak cells", group: "part", p: 0.4 }], next: null },
    revision: 1,
    done: 0,
  });

  test("released is closed, unless work goes on; a parking holds until a release", () => {
    const release = { kind: "release", id: "e2" } as const;
    const note = { kind: "note", id: "e3", text: "fetched" } as const;
    const starts = { kind: "starts", id: "e4", trials: [] } as const;
    const of = (...more: object[]) => ({ ...ticket, entries: [...ticket.entries, ...more] }) as typeof ticket;
    expect(standingOf(ticket)).toBe("work");
    expect(standingOf(of(release, note))).toBe("closed");
    expect(standingOf(of(release, starts))).toBe("work");
    expect(standingOf({ ...of(release), parked: { for: "owner", since: "2030-01-01" } })).toBe("parked");
    const parked = { for: "part", since: "2030-01-02T08:00:00.000Z" } as const;
    const released = (at: string, ...more: object[]) => ({ ...of({ ...release, at }, ...more), parked });
    expect(standingOf(released("2030-01-02T09:00:00.000Z"))).toBe("closed");
    expect(standingOf(released("2030-01-02T09:00:00.000Z", starts))).toBe("work");
    expect(standingOf(released("2030-01-01T09:00:00.000Z"))).toBe("parked");
  });

  test("tickets of one name are told apart by their ids", () => {
    const list = [ticket, { ...ticket, id: "t2" }, { ...ticket, id: "t3", title: "Back room" }].map(stored);
    expect([...namesIn(list).values()]).toEqual(["Front desk · t1", "Front desk · t2", "Back room"]);
  });

  test("a search finds by title, complaint and suspect, every word of it, in any order", () => {
    const list = [stored(ticket), stored({ ...ticket, id: "t2", title: "Back room", entries: [] })];
    const ids = (search: string) => found(list, search).map((one) => one.id);
    expect([ids(""), ids("  "), ids("MORNINGS front"), ids("weak"), ids("room front")]).toEqual([
      ["t1", "t2"],
      ["t1", "t2"],
      ["t1"],
      ["t1", "t2"],
      [],
    ]);
  });
});

test("what the browser's database refuses is said with what can be done", () => {
  const named = (name: string) => Object.assign(new Error("x"), { name });
  expect(troubleOf(named("QuotaExceededError"))).toContain("no room left");
  expect(troubleOf(named("VersionError"))).toContain("newer version");
  expect(troubleOf(new Error("odd"))).toBe("odd");
  expect(troubleOf("odd")).toBe("odd");
});

test("what is kept and what was restored is said in a sentence", () => {
  expect(keeping(1, { promised: true, taken: 2.4e6, most: 9e9 })).toBe(
    "1 ticket, 2 MB of at most 9,000 MB. The browser has promised not to clear it on its own.",
  );
  expect(keeping(3, { promised: false, taken: null, most: null })).toContain(
    "3 tickets. The browser may clear it",
  );
  expect(
    restoredWords({ tickets: 2, takenOff: 1, photos: 0, catalogs: 1, known: 3, kept: ["the catalog x"] }),
  ).toBe(
    "Restored: 2 tickets, 1 ticket under “Taken off” and 1 catalog. 3 of its things were here already. Left as it is here: the catalog x.",
  );
  expect(restoredWords({ tickets: 0, takenOff: 0, photos: 0, catalogs: 0, known: 0, kept: [] })).toBe(
    "Nothing new was in the file.",
  );
});
