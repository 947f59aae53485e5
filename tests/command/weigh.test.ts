/** `fitful weigh` and the call itself: what is printed, where, and with which exit code. */
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import type { Weighing } from "../../engine/weighing.js";
import { PAGE, width } from "../../engine/command/table.js";
import { Folder, fitful, ROOT, STACK } from "./fitful.js";
import { catalog, ticket } from "./small.js";

const folder = new Folder();
const good = folder.file("good.json", ticket());
const weighing = async (...args: string[]) =>
  JSON.parse((await fitful(["weigh", "--json", ...args])).out) as Weighing;

const scenarios = readdirSync(join(ROOT, "scenarios"), { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map((entry) => entry.name);

function fitsThePage(out: string): void {
  expect(Math.max(...out.split("\n").map(width))).toBeLessThanOrEqual(PAGE);
  expect(out).not.toMatch(/NaN|Infinity|undefined|null/);
}

describe("weigh", () => {
  test.each(scenarios)(
    "%s fits the page and says what it could be and why",
    { timeout: 120_000 },
    async (name) => {
      const { out, err, code } = await fitful(["weigh", "--no-advice", `scenarios/${name}/ticket.json`]);
      expect([err, code]).toEqual(["", 0]);
      for (const part of ["What it could be", "What the record taught"]) expect(out).toContain(`\n${part}\n`);
      fitsThePage(out);
    },
  );

  test("says what to do next, what it takes and what every answer would do", async () => {
    const { out, err, code } = await fitful(["weigh", good]);
    expect([err, code]).toEqual(["", 0]);
    const next = out.slice(out.indexOf("\nDo next\n"));
    expect(next).toMatch(/\d minutes.*\d bits.*bits a minute/);
    expect(next).toMatch(/ {2}if it +chance +then\n(.*\d %.*\n)+/);
    fitsThePage(out);
  });

  test("prints JSON that says the same again for the same seed", async () => {
    const [once, again] = [await fitful(["weigh", "--json", good]), await fitful(["weigh", "--json", good])];
    expect(once.code).toBe(0);
    expect(again.out).toBe(once.out);
    const found = JSON.parse(once.out) as Weighing;
    expect(found.format).toBe("fitful/weighing@1");
    expect(found.causes[0]!.id).toBe("weak-supply@s1");
  });

  test("reads a ticket from standard input and a catalog by a path relative to the ticket", async () => {
    folder.file("kind.json", catalog);
    const path = folder.file("by-path.json", ticket({ catalog: "./kind.json" }));
    const elsewhere = await fitful(["weigh", "--json", path], { cwd: join(ROOT, "tests") });
    const streamed = await fitful(["weigh", "--json", "-"], {
      input: JSON.stringify(ticket()),
      cwd: folder.path,
    });
    expect(elsewhere.code).toBe(0);
    expect(streamed.out).toBe(elsewhere.out);
  });

  test("--catalog stands above the ticket's own", async () => {
    const other = folder.file("other.json", { ...catalog, id: "other-box" });
    expect((await weighing("--catalog", other, good)).catalog.id).toBe("other-box");
  });

  test("--no-advice, --max-causes, --draws and --causes do what they say", async () => {
    const plain = await weighing("--no-advice", "--max-causes", "1", "--draws", "0", good);
    expect(plain.next).toBeNull();
    expect(plain.maxCauses).toBe(1);
    expect(plain.causes[0]!.atWork.low).toBeNull();
    const { out } = await fitful(["weigh", "--no-advice", "--causes", "1", good]);
    expect(out).toContain("Weak supply");
    expect(out.slice(0, out.indexOf("What the record taught"))).not.toContain("Tired module");
  });

  test("another seed moves the intervals and not the chances", async () => {
    const spread = {
      ...catalog,
      causes: catalog.causes.map((cause) => ({ ...cause, rate: { value: 0.04, knowledge: 2 } })),
    };
    const file = folder.file("spread.json", ticket({ catalog: spread }));
    const [one, two] = [await weighing("--seed", "1", file), await weighing("--seed", "2", file)];
    expect(two.causes[0]!.present.p).toBe(one.causes[0]!.present.p);
    expect(two.causes[0]!.present.low).not.toBe(one.causes[0]!.present.low);
  });

  test("a catalog that is not there is named, with the nearest that is", async () => {
    const { out, err, code } = await fitful([
      "weigh",
      folder.file("lost.json", ticket({ catalog: "desktpo" })),
    ]);
    expect([out, code]).toEqual(["", 1]);
    expect(err).toMatch(
      /lost\.json: catalog: found desktpo, expected the id of a catalog .*; nearest is desktop/,
    );
  });

  test("a broken ticket gives faults and 1; with --json the faults are data", async () => {
    const broken = folder.file("broken.json", ticket({ title: "" }));
    const plain = await fitful(["weigh", broken]);
    expect([plain.out, plain.code]).toEqual(["", 1]);
    expect(plain.err).toMatch(/broken\.json: title: found "", expected /);
    expect(plain.err).not.toMatch(STACK);
    const { out, code } = await fitful(["weigh", "--json", broken]);
    expect(code).toBe(1);
    expect((JSON.parse(out) as { issues: { path: string }[] }).issues[0]!.path).toBe("title");
  });

  test("names that would steer a terminal are shown, not obeyed", async () => {
    const { out } = await fitful([
      "weigh",
      "--no-advice",
      folder.file("steer.json", ticket({ title: "a\u001b[31mb\u0007" })),
    ]);
    expect(out).toContain("a�[31mb�");
  });
});

describe("a wrong call ends with 2 and says what was expected", () => {
  test.each([
    [["wiegh", "x"], "found wiegh, expected one of weigh, check, schema, help; nearest is weigh"],
    [["weigh"], "weigh: found 0 files, expected one ticket"],
    [["weigh", good, good], "weigh: found 2 files, expected one ticket"],
    [["weigh", "--colour", good], "unknown option '--colour'"],
    [["weigh", "--causes", "many", good], "--causes: found many, expected a whole number from 0 to 1000"],
    [["weigh", "--max-causes", "9", good], "--max-causes: found 9, expected a whole number from 0 to 3"],
    [["weigh", "--seed", "1e3", good], "--seed: found 1e3, expected a whole number"],
    [["check"], "check: found no file, expected at least one"],
    [["schema", "weighing"], "schema: found weighing, expected catalog or ticket"],
    [["constructor"], "found constructor, expected one of"],
  ])("fitful %j", async (args, says) => {
    const { out, err, code } = await fitful(args);
    expect([out, code]).toEqual(["", 2]);
    expect(err).toContain(says);
    expect(err).not.toMatch(STACK);
  });
});

test("help is printed when asked for", async () => {
  for (const args of [["help"], ["--help"], ["weigh", "--help"]]) {
    const { out, code } = await fitful(args);
    expect(code).toBe(0);
    expect(out).toContain("fitful weigh TICKET");
  }
  expect((await fitful([])).code).toBe(2);
});

test.each(["ticket", "catalog"])("schema %s is JSON Schema that names its format", async (name) => {
  const { out, code } = await fitful(["schema", name]);
  const schema = JSON.parse(out) as { $schema: string; properties: { format: { const: string } } };
  expect(code).toBe(0);
  expect(schema.$schema).toContain("json-schema.org");
  expect(schema.properties.format.const).toBe(`fitful/${name}@1`);
});
