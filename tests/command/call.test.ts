/** The real command in a process of its own: where it can be called from, what it prints where, its exit codes. */
import { describe, expect, test } from "vitest";
import { Folder, fitful, STACK } from "./fitful.js";
import { ticket } from "./small.js";

const folder = new Folder();

test("a ticket from standard input, from any directory", async () => {
  const input = JSON.stringify(ticket());
  const { out, err, code } = await fitful(["weigh", "--json", "-"], { input, cwd: folder.path });
  expect([err, code]).toEqual(["", 0]);
  expect(JSON.parse(out)).toMatchObject({ format: "fitful/weighing@1", ticket: { id: "t1" } });
});

test("names that would steer a terminal are shown, not obeyed", async () => {
  const steer = folder.file("steer.json", ticket({ title: "a\u001b[31mb\u0007" }));
  const { out } = await fitful(["weigh", "--no-advice", steer]);
  expect(out).toContain("a�[31mb�");
});

test("a broken ticket gives faults on standard error and 1; with --json they are data on standard output", async () => {
  const broken = folder.file("broken.json", '{"format": "fitful/ticket@1", "title": ""');
  const plain = await fitful(["weigh", broken]);
  expect([plain.out, plain.code]).toEqual(["", 1]);
  expect(plain.err).toMatch(/broken\.json: line 1, column 42: found the end of the file, expected , or }/);
  expect(plain.err).not.toMatch(STACK);
  const { out, code } = await fitful(["weigh", "--json", broken]);
  expect(code).toBe(1);
  expect(JSON.parse(out)).toMatchObject({ file: broken, issues: [{ path: "line 1, column 42" }] });
});

test("a file of more than 64 MB is refused", async () => {
  const large = folder.file("large.json", Buffer.alloc(64 * 1024 * 1024 + 1, " "));
  const { err, code } = await fitful(["weigh", large]);
  expect(code).toBe(1);
  expect(err).toContain("large.json: file: found more than 64 MB, expected a JSON file of at most 64 MB");
});

describe("a wrong call ends with 2 and says what was expected", () => {
  test.each([
    [["wiegh", "x"], "found wiegh, expected one of weigh, check, tune, race, schema, help; nearest is weigh"],
    [["weigh", "--colour", "x"], "unknown option '--colour'"],
    [["weigh", "--seed"], "option '--seed <value>' argument missing"],
    [["weigh", "--seed", "-1", "x.json"], "--seed: found -1, expected a whole number from 0"],
    [["check"], "check: found no file, expected at least one"],
    [["schema", "weighing"], "schema: found weighing, expected catalog, ticket or matching"],
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

test.each([
  ["ticket", "fitful/ticket@1"],
  ["catalog", "fitful/catalog@1"],
  ["matching", "fitful/tickets-table@1"],
])("schema %s is JSON Schema that names its format", async (name, format) => {
  const { out, code } = await fitful(["schema", name]);
  const schema = JSON.parse(out) as { $schema: string; properties: { format: { const: string } } };
  expect(code).toBe(0);
  expect(schema.$schema).toContain("json-schema.org");
  expect(schema.properties.format.const).toBe(format);
});
