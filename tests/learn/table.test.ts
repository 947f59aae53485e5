/** Tables that people really have, and tables that nobody should. */
import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, test } from "vitest";
import { beginningOf, Intake } from "../../engine/learn/intake.js";
import type { PastTicket } from "../../engine/learn/space.js";
import { dayIn, numberIn } from "../../engine/learn/table/cells.js";
import { encodingOf } from "../../engine/learn/table/encoding.js";
import {
  causeWords,
  matchingIssues,
  proposeCause,
  proposeMatching,
  type Matching,
} from "../../engine/learn/table/matching.js";
import { RecordReader, SEPARATORS, TableFault, type Separator } from "../../engine/learn/table/records.js";
import { rejectedLine } from "../../engine/learn/table/reader.js";
import type { Rejection } from "../../engine/learn/table/row.js";
import { TALLY_COLUMNS } from "../../engine/learn/tally/table.js";
import { Seen } from "../../engine/learn/table/seen.js";
import { spaceOf } from "../../engine/learn/space.js";
import { guarded } from "../../engine/csv.js";
import { catalog, space } from "./small.js";

const bytes = (text: string) => new TextEncoder().encode(text);

function read(table: string | Uint8Array, said?: Partial<Matching>, piece = 1 << 16) {
  const data = typeof table === "string" ? bytes(table) : table;
  const tickets: PastTicket[] = [];
  const rejected: Rejection[] = [];
  const proposed = beginningOf(data.subarray(0, 1 << 16), space, data.length <= 1 << 16).matching;
  const intake = new Intake(space, {
    matching: { ...proposed, ...said },
    ticket: (ticket) => void tickets.push(ticket),
    rejected: (rejection) => void rejected.push(rejection),
  });
  for (let at = 0; at < data.length; at += piece) intake.push(data.subarray(at, at + piece));
  const { count } = intake.end();
  return { tickets, rejected, count: count!, matching: intake.matching! };
}

function recordsOf(text: string, separator: Separator, cuts: readonly number[]): string[][] {
  const records: string[][] = [];
  const reader = new RecordReader(separator, (cells) => void records.push(cells));
  let from = 0;
  for (const cut of [...cuts].sort((x, y) => x - y)) {
    reader.push(text.slice(from, Math.min(cut, text.length)));
    from = Math.max(from, Math.min(cut, text.length));
  }
  reader.push(text.slice(from));
  reader.end();
  return records;
}

describe("records", () => {
  const cell = fc.stringMatching(/^[a-zA-Z0-9 ,;|"\t\n\r'äß€=+-]{0,12}$/);
  const row = fc.array(cell, { minLength: 2, maxLength: 5 });

  test("what RFC 4180 writes is read back, whatever is in the cells and wherever the pieces end", () => {
    fc.assert(
      fc.property(
        fc.array(row, { minLength: 1, maxLength: 8 }),
        fc.constantFrom(...SEPARATORS),
        fc.constantFrom("\n", "\r\n"),
        fc.array(fc.nat(200)),
        (rows, delimiter, newline, cuts) => {
          // the first record is without line breaks, as headings are: it shows how lines end
          const all = [["a", "b"], ...rows];
          const text = Papa.unparse(all, { delimiter, newline, quotes: true }) + newline;
          expect(recordsOf(text, delimiter, cuts)).toEqual(all);
        },
      ),
      { seed: 11, numRuns: 300 },
    );
  });

  test("old line ends, a last line without one, and empty lines", () => {
    expect(recordsOf("a,b\r1,2\r\r3,4", ",", [3])).toEqual([["a", "b"], ["1", "2"], ["3", "4"]]); // prettier-ignore
  });
});

describe("encodings", () => {
  test.each([
    ["utf-8", bytes("Fühler;ß")],
    ["utf-8", Uint8Array.of(0xef, 0xbb, 0xbf, 0x61)],
    ["utf-16le", Uint8Array.of(0xff, 0xfe, 0x61, 0)],
    ["utf-16be", Uint8Array.of(0xfe, 0xff, 0, 0x61)],
    ["windows-1252", Uint8Array.of(0x46, 0xfc, 0x68)],
  ])("%s is told from its bytes", (encoding, head) => expect(encodingOf(head)).toBe(encoding));

  test("a table in Windows-1252 and one with a byte-order mark are read as what they say", () => {
    const old = Uint8Array.from("Fault;Starts;Stops;R\xfcckmeldung\nslot;4;2;gr\xfcn\n", (c) =>
      c.charCodeAt(0),
    );
    expect(read(old).matching).toMatchObject({ encoding: "windows-1252", separator: ";" });
    expect(read(old).tickets).toMatchObject([{ cause: 0, starts: 4, stops: 2 }]);
    expect(read("\uFEFFFault,Starts,Stops\nrail,3,3\n").tickets).toMatchObject([{ cause: 2, starts: 3 }]);
  });

  test("bytes that are no text reject their row, and no other", () => {
    const broken = Uint8Array.from("Fault,Starts,Stops\nslot,4,2\nsl\xff\xfet,4,2\nrail,1,0\n", (c) =>
      c.charCodeAt(0),
    );
    const { tickets, rejected } = read(broken, { encoding: "utf-8" });
    expect(tickets.length).toBe(2);
    expect(rejected).toMatchObject([{ row: 3, column: "row", expected: "text in utf-8" }]);
  });
});

describe("cells", () => {
  test.each([
    ["31.12.2025", "day-first", "2025-12-31"],
    ["12/31/2025", "month-first", "2025-12-31"],
    ["12/31/2025", "day-first", null],
    ["29.02.2023", "day-first", null],
    ["29.02.2024", "day-first", "2024-02-29"],
    ["2025-03-04T09:00", "month-first", "2025-03-04"],
    ["yesterday", "day-first", null],
  ] as const)("%s, %s: %s", (cell, order, day) => expect(dayIn(cell, order)).toBe(day));

  test.each([
    ["12,5", ",", 12.5],
    ["12.5", ".", 12.5],
    ["1,234", ".", null],
    ["1.234,5", ",", null],
    ["1e9", ".", null],
    ["", ".", null],
    ["NaN", ".", null],
    ["12 min", ".", null],
  ] as const)("%s with the mark %s: %s", (cell, mark, value) => expect(numberIn(cell, mark)).toBe(value));
});

const HEADING = "Ticket,Closed,Fault,Confirmed,Starts,Stopped,Stopped at,Before,Repair,Cured,Minutes";

describe("rows", () => {
  test("a row in full", () => {
    const { tickets } = read(
      `${HEADING}\nT1,04.03.2025,Slot contact,found,5,2,memory,It was moved,clean,yes,12\n`,
    );
    expect(tickets).toEqual([
      { cause: 0, onlyShown: false, starts: 5, stops: 2, at: [[1, 1]], events: [0], repair: 0, cured: 1, minutes: 12, closed: "2025-03-04", age: NaN },
    ]); // prettier-ignore
  });

  test.each([
    ["T1,,psu,,,,,,,,", "cause", "psu"],
    ["T1,,slot,perhaps,,,,,,,", "confirmed", "perhaps"],
    ["T1,,slot,,3,5,,,,,", "stops", "5 of 3"],
    ["T1,,slot,,3,,,,,,", "stops", "nothing"],
    ["T1,,slot,,3.5,1,,,,,", "starts", "3.5"],
    ["T1,,slot,,1000000,1,,,,,", "starts", "1000000"],
    ["T1,31.02.2025,slot,,,,,,,,", "closed", "31.02.2025"],
    ["T1,,slot,,4,0,memory,,,,", "stage", "memory"],
    ["T1,,slot,,4,1,cellar,,,,", "stage", "cellar"],
    ["T1,,slot,,,,,dropped,,,", "events", "dropped"],
    ["T1,,slot,,,,,,,yes,", "cured", "yes"],
    ["T1,,slot,,,,,,clean,yes,1 h", "minutes", "1 h"],
    ["T1,,slot,,,,,,clean,yes,-3", "minutes", "-3"],
    ["T1,,slot", "row", "3 cells"],
    ["T1,,sl\0ot,,,,,,,,", "row", "a NUL character"],
  ])("%s is rejected for its %s", (row, column, found) => {
    const { tickets, rejected } = read(`${HEADING}\n${row}\nT2,,rail,,,,,,,,\n`);
    expect(rejected).toMatchObject([{ row: 2, column, found }]);
    expect(tickets.length).toBe(1); // the row below stands
  });

  test("a ticket that comes twice is taken once, and the second row named", () => {
    const { rejected, count } = read(`${HEADING}\nT1,,slot,,,,,,,,\nT1,,slot,,,,,,,,\n`);
    expect(rejected).toMatchObject([{ row: 3, column: "ticket", found: "T1" }]);
    expect(count).toMatchObject({ rows: 2, tickets: 1, rejected: 1 });
  });

  test("every row is a ticket or is listed", () => {
    const cell = fc.constantFrom(
      "",
      "slot",
      "psu",
      "3",
      "9",
      "yes",
      "no",
      "memory",
      "31.02.2024",
      "=1+1",
      "T1",
      "clean",
      "It was moved",
    );
    fc.assert(
      fc.property(
        fc.array(fc.array(cell, { minLength: 11, maxLength: 11 }), { minLength: 1, maxLength: 30 }),
        (rows) => {
          const table = Papa.unparse([HEADING.split(","), ...rows], { quotes: true });
          const { tickets, rejected, count } = read(table);
          expect(tickets.length + rejected.length).toBe(rows.length);
          expect(count).toMatchObject({
            rows: rows.length,
            tickets: tickets.length,
            rejected: rejected.length,
          });
        },
      ),
      { seed: 12, numRuns: 100 },
    );
  });

  test("a matching corrects what was proposed, and words get their meaning", () => {
    const table = "wo,was,n,k\nA,psu weak,4,1\nB,stand-off,3,0\n";
    const { tickets, matching } = read(table, {
      columns: { ticket: "wo", cause: "was", starts: "n", stops: "k" },
      words: { "PSU weak": "rail", "stand-off": "unlisted" },
    });
    expect(matching.columns.cause).toBe("was");
    expect(tickets.map((t) => t.cause)).toEqual([2, space.unlisted]);
  });

  test("words that name no cause are counted, with what they may mean", () => {
    expect(
      read("Fault\nslot contakt\nslot contakt\nrail, weak when cold\n".replace(", ", " ")).count.strangers,
    ).toEqual([
      { word: "slot contakt", rows: 2 },
      { word: "rail weak when cold", rows: 1 },
    ]);
    expect(proposeCause("slot contakt", space)).toBe("slot");
    expect(proposeCause("Weak rail, cold mornings", space)).toBe("rail");
  });
});

describe("what a table looks like is proposed", () => {
  const rows = (date: string, figure: string) => [["Closed", "Minutes", "Fault"], [date, figure, "slot"]]; // prettier-ignore
  const propose = (date: string, figure: string) => proposeMatching(rows(date, figure), { encoding: "utf-8", separator: "," }, space); // prettier-ignore
  test("a decimal comma, days first unless a day says otherwise", () => {
    expect(propose("13.01.2025", "1,5")).toMatchObject({ days: "day-first", decimal: "," });
    expect(propose("01/13/2025", "1.5")).toMatchObject({ days: "month-first", decimal: "." });
    expect(propose("01/02/2025", "2")).toMatchObject({ days: "day-first", decimal: "." });
  });
});

describe("hostile tables get an answer", () => {
  const fault = (table: string | Uint8Array) => {
    try {
      read(table);
    } catch (error) {
      if (error instanceof TableFault) return error.message;
      throw error;
    }
    return "read";
  };
  test("a quote that is never closed, near the end and far from it", () => {
    expect(fault('Fault,Note\nslot,"oops\nrail,x\n')).toBe("row 2: found a quote that is never closed, expected a closing quote"); // prettier-ignore
    const long = `Fault,Note\nslot,"oops\n${"rail,x\n".repeat(200_000)}`;
    expect(fault(long)).toBe("row 2: found more than 1000000 characters, perhaps a quote that is never closed, expected rows that end"); // prettier-ignore
  });
  test("a million columns", () =>
    expect(fault("a,".repeat(1_000_000))).toMatch(/^row 1: found (\d{5,} columns|more than)/));
  test("nothing, and nothing but NUL", () => {
    for (const empty of ["", "\n\n", "  \n"])
      expect(fault(empty)).toBe("table: found an empty file, expected a heading and rows");
    expect(fault(new Uint8Array(3_000_000))).toMatch(/^row 1: found more than 1000000 characters/);
  });
  test("a heading and no rows, short or longer than what is looked at first", () => {
    for (const bare of ["Fault,Starts,Stops\n", "Fault", `${TALLY_COLUMNS.join()}\n\n`])
      expect(fault(bare)).toBe("table: found a heading and no rows, expected a heading and rows");
    expect(fault(`Fault,${"x".repeat(100_000)}\n`)).toBe("table: found no rows, expected a heading and rows");
  });
  test("JSON is not taken for a table, a heading in brackets is no JSON", () => {
    const ticket = JSON.stringify({ format: "fitful/ticket@1", id: "t" }, null, 2);
    expect(fault(ticket)).toBe("table: found the file of one ticket, expected CSV, one row a ticket");
    const pretty = JSON.stringify([{ a: "x".repeat(100_000) }], null, 2);
    for (const json of [pretty, "{}", "[[1]]", "[1, 2]", "\uFEFF{\n}"])
      expect(fault(json)).toBe("table: found JSON, expected CSV, one row a ticket");
    expect(fault("[Fault],[Starts]\nslot,3\n")).toBe("read");
  });
  test("a heading twice, and a matching that names none", () => {
    expect(fault("Fault,Fault\nslot,slot\n")).toBe("row 1: found Fault twice, expected headings that differ");
    expect(() => read("Fault\nslot\n", { columns: { cause: "Cause" } })).toThrow("found the headings Fault, expected one named Cause"); // prettier-ignore
  });
  test("names that mean something to objects are words like others", () => {
    expect(read("Fault,Before\n__proto__,\nconstructor,toString\n").rejected.map((r) => r.found)).toEqual(["__proto__", "constructor"]); // prettier-ignore
  });
  test("what a spreadsheet would run is quoted when rejected rows are saved", () => {
    const line = rejectedLine({ row: 2, column: "cause", found: "=cmd|' /C calc'!A0", expected: "a cause" }, ["@SUM(1)", "+1", "-2", "plain", "=1\n+1"]); // prettier-ignore
    expect(line).toBe(`2,cause,'=cmd|' /C calc'!A0,a cause,'@SUM(1),'+1,'-2,plain,"'=1\n+1"\r\n`);
  });
});

test("a hundred thousand ticket numbers are told apart, and known again", () => {
  const seen = new Seen();
  for (let k = 0; k < 100_000; k++) expect(seen.add(`T-${k}`)).toBe(false);
  for (let k = 0; k < 100_000; k += 997) expect(seen.add(`T-${k}`)).toBe(true);
});

describe("as shops really write them", () => {
  const heading = "Ticket;Closed;Cause;Minutes;Repair";
  const days = (k: number) => `0${1 + (k % 9)}/0${1 + (k % 7)}/2024`;
  const proposed = (table: string | Uint8Array) => {
    const intake = new Intake(space);
    const data = typeof table === "string" ? bytes(table) : table;
    for (let at = 0; at < data.length; at += 1 << 12) intake.push(data.subarray(at, at + (1 << 12)));
    const { count } = intake.end();
    return { count: count!, matching: intake.matching!, gathered: intake.gathered! };
  };

  test("days that can be read either way wait for one that cannot, however far down it stands", () => {
    const rows = Array.from({ length: 9000 }, (_, k) => `T${k};${days(k)};rail;;`);
    const { matching, count } = proposed([heading, ...rows, "T-last;12/31/2024;rail;;"].join("\n"));
    expect([matching.days, count.rejected]).toEqual(["month-first", 0]);
    expect(proposed([heading, ...rows].join("\n")).matching.days).toBe("day-first");
  });

  test("a day of another century is no day", () => {
    expect(dayIn("1022-03-01", "day-first")).toBeNull();
    expect(dayIn("2999-03-01", "day-first")).toBeNull();
    expect(dayIn("2024-03-01", "day-first")).toBe("2024-03-01");
  });

  test("a row of nothing is rejected, not taken for a ticket", () => {
    const { tickets, rejected } = read(`${heading}\nT1;;rail;;\n;;;;\n`);
    expect(tickets).toHaveLength(1);
    expect(rejected).toEqual([{ row: 3, column: "row", found: "nothing", expected: "a ticket" }]);
  });

  test("minutes that teach nothing are counted", () => {
    const { count } = read(`${heading}\nT1;;rail;0;clean\nT2;;rail;12;\nT3;;rail;12;clean\n`);
    expect(count.unused).toEqual([
      { what: "minutes of 0", rows: 1 },
      { what: "minutes without a repair", rows: 1 },
    ]);
  });

  test("a number that an earlier table had is rejected in the next", () => {
    const { gathered } = proposed(`${heading}\nT1;;rail;;\n`);
    const again = new Intake(space, {}, gathered);
    again.push(bytes(`${heading}\nT1;;rail;;\nT2;;rail;;\n`));
    expect(again.end().count).toMatchObject({ tickets: 1, rejected: 1 });
  });

  test("UTF-16 without a mark, a line that names the separator, a line break in the heading, two columns", () => {
    const wide = (text: string, isBig: boolean) => {
      const out = new Uint8Array(2 * text.length);
      [...text].forEach((c, k) => (out[2 * k + Number(isBig)] = c.charCodeAt(0)));
      return out;
    };
    const table = `${heading}\nT1;;rail;;\nT2;;slot;;\n`;
    for (const isBig of [false, true]) expect(proposed(wide(table, isBig)).count.tickets).toBe(2);
    expect(proposed(`sep=;\r\n${table.replaceAll("\n", "\r\n")}`).count).toMatchObject({
      rows: 2,
      tickets: 2,
    });
    expect(proposed(`Ticket;Cause;"note\r\nof ours"\nT1;rail;\nT2;slot;\n`).count.tickets).toBe(2);
    expect(proposed("Ticket;Cause\nT1;rail\nT2;slot\n").count.tickets).toBe(2);
  });

  test("a blank line first, a lone quote in a heading, thousands, pieces of one byte", () => {
    const table = `${heading}\nT1;;rail;;\nT2;;slot;;\n`;
    expect(proposed(`\n${table}`).count.tickets).toBe(2);
    expect(proposed(`\r\nSEP=;\r\n${table.replaceAll("\n", "\r\n")}`).count.tickets).toBe(2);
    expect(proposed(`Ticket;Cause;Screen 15"\nT1;rail;\nT2;slot;\n`).count.tickets).toBe(2);
    const thousands = proposed(`Ticket,Cause,Minutes\nT1,rail,"1,200"\nT2,rail,35\n`);
    expect([thousands.matching.decimal, thousands.count.rejected]).toEqual([".", 1]);
    const intake = new Intake(space);
    const wide = Uint8Array.from([0xff, 0xfe, ...[...table].flatMap((c) => [c.charCodeAt(0), 0])]);
    for (const byte of wide) intake.push(Uint8Array.of(byte));
    expect(intake.end().count!.tickets).toBe(2);
  });

  test("what is no text is refused by its name", () => {
    const zip = Uint8Array.from([0x50, 0x4b, 3, 4, 20, 0, 0, 0]);
    const intake = new Intake(space);
    intake.push(zip);
    expect(() => intake.end()).toThrow("found a spreadsheet or a packed file");
    expect(() => beginningOf(zip, space)).toThrow("save the sheet as that");
  });

  test("names that differ by their signs alone are two causes, and what the catalog names is not 'other'", () => {
    const signed = structuredClone(catalog);
    const named = ["+12 V sags", "−12 V sags", "Other", "Unknown"];
    signed.causes.forEach((cause, k) => (cause.name = named[k]!));
    const words = causeWords(spaceOf(signed), {});
    expect([...named, "other", "12 v sags", "none"].map(words.of)).toEqual([0, 1, 2, 3, 2, null, 4]);
    expect(["+12  V sags", "-12 V sags", "@m1", "slot@m1"].map(words.of)).toEqual([0, 1, null, 0]);
    const said = causeWords(spaceOf(signed), { "+5 V low": "rail", "-": "strip" });
    expect(["+5 V low", "-5 V low", "5 V low", "-", "?"].map(said.of)).toEqual([2, null, null, 3, -1]);
  });

  test("a matching that names what the catalog lacks says so", () => {
    const { matching } = read(`${heading}\nT1;;rail;;\n`);
    const wrong = { ...matching, stopsAt: { memroy: "x" }, words: { psu: "rial", ok: null, sound: "none" } };
    expect(matchingIssues(wrong, space).map(({ message }) => message)).toEqual([
      "stopsAt: found memroy, expected a stage of the catalog; nearest is memory",
      "words.psu: found rial, expected a cause, stage, event or repair of the catalog; nearest is rail",
    ]);
    expect(matchingIssues(matching, space)).toEqual([]);
  });

  test("a cell that a spreadsheet would run is guarded, in single width or double", () => {
    for (const cell of ["=1+1", "\n=1", "＝1+1", "＠x", "-1"]) expect(guarded(cell)).toBe(`'${cell}`);
    expect(guarded("psu")).toBe("psu");
  });
});
