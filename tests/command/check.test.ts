/** `fitful check` on hostile input: every fault with file, place, found and expected; never the inside of the program. */
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { Folder, fitful, STACK, type Said } from "./fitful.js";
import { catalog, ticket } from "./small.js";

const folder = new Folder();
const good = JSON.stringify(ticket());

/** The good ticket as text with one piece replaced. */
function altered(piece: string, by: string): string {
  const text = good.replace(piece, by);
  if (text === good) throw new Error(`found no ${piece} in the ticket`);
  return text;
}

/** file → what must be said of it */
const HOSTILE: Record<string, { content: string | Buffer; says: RegExp[] }> = {
  empty: { content: "", says: [/line 1, column 1: found the end of the file, expected a value/] },
  broken: { content: '{\n "format": fitful\n}', says: [/line 2, column 12: found fitful, expected a value/] },
  truncated: { content: good.slice(0, 300), says: [/line 1, column 2\d\d: found .*, expected /] },
  "nul-bytes": {
    content: "\u0000\u0000",
    says: [/line 1, column 1: found the character U\+0000, expected a value/],
  },
  "not-utf8": { content: Buffer.from([0x7b, 0xff, 0x7d]), says: [/found bytes that are not UTF-8 text/] },
  deep: {
    content: `{"format": "fitful/ticket@1", "id": ${"[".repeat(1e5)}${"]".repeat(1e5)}}`,
    says: [/: id: found /],
  },
  "no-format": {
    content: "{}",
    says: [/format: found nothing, expected fitful\/ticket@1 or fitful\/catalog@1/],
  },
  "later-format": {
    content: '{"format": "fitful/ticket@9"}',
    says: [/format: found fitful\/ticket@9, expected /],
  },
  "a-list": { content: "[1, 2]", says: [/format: found nothing, expected /] },
  "a-number": { content: "1e999", says: [/format: found nothing, expected /] },
  "huge-number": {
    content: altered('"ageYears":5', '"ageYears":1e999'),
    says: [/machine\.ageYears: found Infinity, expected /],
  },
  "wrong-type": {
    content: altered('"ageYears":5', '"ageYears":"five"').replace('"n":2', '"n":2.5'),
    says: [
      /machine\.ageYears: found "five", expected /,
      /entries\[1\]\.trials\[0\]\.n: found 2\.5, expected /,
    ],
  },
  proto: {
    content: altered('"ageYears":5', '"ageYears":5,"__proto__":{"kind":"x"}'),
    says: [/machine\.__proto__: found the name __proto__/],
  },
  "proto-fit": {
    content: altered('"entries":[', '"entries":[{"kind":"change","id":"c","fit":{"__proto__":"m1"}},'),
    says: [/entries\[0\]\.fit\.__proto__: found the name __proto__/],
  },
  "constructor-id": {
    content: altered('"outcome":"dead"', '"outcome":"constructor"'),
    says: [/entries\[1\].*found .*"constructor"/],
  },
  stage: {
    content: altered('"outcome":"dead"', '"outcome":"memroy"'),
    says: [/entries\[1\]\.trials\[0\]\.outcome: found the .*"memroy", expected "memory"/],
  },
  part: {
    content: altered('"on":"s1"', '"on":"s9"'),
    says: [/entries\[2\]\.on: found the supply "s9", expected .*s1/],
  },
  kind: {
    content: altered('"kind":"module"', '"kind":"modul"'),
    says: [/machine\.parts\[0\]\.kind: found the part kind "modul", expected "module"/],
  },
  reading: {
    content: altered('"reading":"five"', '"reading":"fife"'),
    says: [/entries\[2\]\.reading: found the reading "fife", expected "five"/],
  },
  "same-id": { content: altered('"id":"e3"', '"id":"e2"'), says: [/entries\[2\]\.id: found .*e2/] },
  "same-place": {
    content: altered('"id":"s2","kind":"supply"', '"id":"s2","kind":"supply","position":"bay"'),
    says: [/machine\.parts\[2\]\.position: found .*bay/],
  },
};

let said: Said;
/** what was said of one file */
const linesOf = (name: string) =>
  said.out.split("\n").filter((line) => line.startsWith(join(folder.path, `${name}.json:`)));

beforeAll(async () => {
  const files = Object.entries(HOSTILE).map(([name, { content }]) => folder.file(`${name}.json`, content));
  mkdirSync(join(folder.path, "folder.json"));
  const missing = join(folder.path, "missing.json");
  const fine = [folder.file("good.json", good), folder.file("catalog.json", catalog)];
  said = await fitful(["check", ...files, join(folder.path, "folder.json"), missing, ...fine]);
});

describe("check", () => {
  test.each(Object.keys(HOSTILE))("says what is wrong with a file that is %s", (name) => {
    const lines = linesOf(name).join("\n");
    for (const pattern of HOSTILE[name]!.says) expect(lines).toMatch(pattern);
  });

  test("names a directory and a missing file as such", () => {
    expect(linesOf("folder").join()).toContain(
      "file: found a directory, expected a JSON file of at most 64 MB",
    );
    expect(linesOf("missing").join()).toContain("file: found no such file, expected a JSON file");
  });

  test("calls a good ticket and a good catalog fine", () => {
    expect(linesOf("good").join()).toMatch(/good\.json: fine \(fitful\/ticket@1\)$/);
    expect(linesOf("catalog").join()).toMatch(/catalog\.json: fine \(fitful\/catalog@1\)$/);
  });

  test("ends with 1 and shows nothing of the inside", () => {
    expect(said.code).toBe(1);
    expect(said.err).toBe("");
    expect(said.out).not.toMatch(STACK);
  });

  test("says nothing of a file but in the form file: where: found …, expected …", () => {
    for (const line of said.out.trimEnd().split("\n"))
      if (!/: fine \(/.test(line)) expect(line).toMatch(/\.json: .*: found .*, expected ./);
  });
});

test("check --json gives the same as data", async () => {
  const { out, code } = await fitful([
    "check",
    "--json",
    join(folder.path, "stage.json"),
    join(folder.path, "good.json"),
  ]);
  const { files } = JSON.parse(out) as {
    files: { file: string; format: string; issues: { path: string }[] }[];
  };
  expect(code).toBe(1);
  expect(files.map(({ format, issues }) => [format, issues.map((i) => i.path)])).toEqual([
    ["fitful/ticket@1", ["entries[1].trials[0].outcome"]],
    ["fitful/ticket@1", []],
  ]);
});

test("check reads standard input, from any directory", async () => {
  const fine = await fitful(["check", "-"], { input: good, cwd: folder.path });
  expect(fine).toEqual({ out: "standard input: fine (fitful/ticket@1)\n", err: "", code: 0 });
});
