import fc from "fast-check";
import { expect, test } from "vitest";
import { parseJson } from "../engine/json.js";

const faultOf = (text: string): string => {
  const parsed = parseJson(text);
  if ("data" in parsed) throw new Error(`found no fault in ${text}`);
  return parsed.issues[0]!.message;
};

test.each([
  ["", "line 1, column 1: found the end of the file, expected a value"],
  ['{\n  "a": 1,\n}', "line 3, column 1: found }, expected a name in double quotes"],
  ["[1, 2", "line 1, column 6: found the end of the file, expected , or ]"],
  ['{"a" 1}', "line 1, column 6: found 1, expected :"],
  ["{a: 1}", "line 1, column 2: found a, expected a name in double quotes or }"],
  ["[1 2]", "line 1, column 4: found 2, expected , or ]"],
  ["[01]", "line 1, column 2: found 01, expected a value or ]"],
  ["[1,]", "line 1, column 4: found ], expected a value"],
  ["NaN", "line 1, column 1: found NaN, expected a value"],
  ["1 \n 2", "line 2, column 2: found 2, expected the end of the file"],
  ["[\u0000]", "line 1, column 2: found the character U+0000, expected a value or ]"],
  ['"abc', 'line 1, column 1: found the text "abc" with no closing quote, expected a value'],
  ['"a\\x"', 'line 1, column 1: found the text "a" with the escape \\x, expected a value'],
  [
    '"a\nb"',
    'line 1, column 1: found the text "a" with a line break or other control character, expected a value',
  ],
  ["{'a': 1}", "line 1, column 2: found ', expected a name in double quotes or }"],
])("the fault of %j is placed and named", (text, message) => {
  expect(faultOf(text)).toBe(message);
});

test("the name __proto__ is refused wherever it stands, however it is written", () => {
  expect(parseJson('{"a": [{"__proto__": 1}], "__pr\\u006Fto__": {}}')).toEqual({
    issues: ["__proto__", "a[0].__proto__"].map((path) => ({
      path,
      found: "the name __proto__",
      expected: "a name that the format knows",
      message: `${path}: found the name __proto__, expected a name that the format knows`,
    })),
  });
  expect(parseJson('{"note": "__proto__"}')).toEqual({ data: { note: "__proto__" } });
});

test("depth costs nothing: half a million open brackets are refused at their end", () => {
  const deep = "[".repeat(500_000);
  expect(faultOf(deep)).toBe("line 1, column 500001: found the end of the file, expected a value or ]");
});

test("a text that JSON.parse takes is taken, and every other one has a fault that can be placed", () => {
  const broken = fc
    .tuple(
      fc.json(),
      fc.nat(200),
      fc.constantFrom("", ",", "}", "]", '"', "\\", ":", "x", "\u0000", "-", "1"),
    )
    .map(
      ([text, at, put]) =>
        text.slice(0, at % (text.length + 1)) + put + text.slice((at % (text.length + 1)) + 1),
    );
  let refused = 0;
  fc.assert(
    fc.property(broken, (text) => {
      let taken = true;
      try {
        JSON.parse(text);
      } catch {
        taken = false;
      }
      const parsed = parseJson(text);
      expect("data" in parsed).toBe(taken);
      if ("data" in parsed) return;
      refused++;
      const { path, found, expected } = parsed.issues[0]!;
      expect(path).toMatch(/^line [1-9]\d*, column [1-9]\d*$/);
      expect(found).not.toBe(expected);
      expect(found).not.toBe("");
    }),
    { seed: 1, numRuns: 2000 },
  );
  expect(refused).toBeGreaterThan(500);
});
