/** What `fitful weigh` answers, asked without a process of its own; call.test.ts asks the real command. */
import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { CallFault, InputFaults, type Values } from "../../engine/command/reply.js";
import { PAGE, width } from "../../engine/command/table.js";
import { weigh } from "../../engine/command/weigh.js";
import type { Weighing } from "../../engine/weighing.js";
import { Folder, ROOT } from "./fitful.js";
import { catalog, ticket } from "./small.js";

const folder = new Folder();
const good = folder.file("good.json", ticket());

const page = async (file: string, values: Values = {}) => (await weigh([file], values)).out;
const weighing = async (file: string, values: Values = {}) =>
  JSON.parse(await page(file, { ...values, json: true })) as Weighing;

function fitsThePage(out: string): void {
  expect(Math.max(...out.split("\n").map(width))).toBeLessThanOrEqual(PAGE);
  expect(out).not.toMatch(/NaN|Infinity|undefined|null/);
}

const scenarios = readdirSync(join(ROOT, "scenarios")).filter((name) =>
  existsSync(join(ROOT, "scenarios", name, "ticket.json")),
);

describe("the page", () => {
  test.each(scenarios)("of %s says what it could be and why, within the width", async (name) => {
    const out = await page(join(ROOT, "scenarios", name, "ticket.json"), { "no-advice": true });
    for (const part of ["What it could be", "What the record taught"]) expect(out).toContain(`\n${part}\n`);
    fitsThePage(out);
  });

  test("says what to do next, what it takes and what every answer would do", async () => {
    const out = await page(good);
    const next = out.slice(out.indexOf("\nDo next, by what it tells\n"));
    expect(next).toMatch(/\d minutes.*\d bits.*bits a minute/);
    expect(next).toMatch(/ {2}if it +chance +then\n(.*\d %.*\n)+/);
    fitsThePage(out);
  });

  test("names the leading suspect first and as many as were asked for", async () => {
    const out = await page(good, { "no-advice": true, causes: "1" });
    const suspects = out.slice(0, out.indexOf("What the record taught"));
    expect(suspects).toContain("Weak supply");
    expect(suspects).not.toContain("Tired module");
    expect(suspects).toContain("and 2 more, none above");
  });
});

describe("the options", () => {
  test("--json gives the weighing, the same again for the same seed", async () => {
    const found = await weighing(good);
    expect(found.format).toBe("fitful/weighing@1");
    expect(found.causes[0]!.id).toBe("weak-supply@s1");
    expect(await weighing(good)).toEqual(found);
  });

  test("sums of money say their currency where the ticket does, and are bare where it does not", async () => {
    expect((await weighing(good)).ticket).not.toHaveProperty("currency");
    expect(await page(good)).toMatch(/^By money$/m);
    const path = folder.file("sek.json", ticket({ currency: "SEK" }));
    expect((await weighing(path)).ticket.currency).toBe("SEK");
    expect(await page(path)).toMatch(/^By money, in SEK$/m);
  });

  test("--catalog stands above the ticket's own", async () => {
    const other = folder.file("other.json", { ...catalog, id: "other-box" });
    expect((await weighing(good, { catalog: other })).catalog.id).toBe("other-box");
  });

  test("a catalog's path is relative to the ticket", async () => {
    folder.file("kind.json", catalog);
    const path = folder.file("by-path.json", ticket({ catalog: "./kind.json" }));
    expect(await weighing(path)).toEqual(await weighing(good));
  });

  test("--no-advice, --max-causes and --draws do what they say", async () => {
    const plain = await weighing(good, { "no-advice": true, "max-causes": "1", draws: "0" });
    expect(plain.next).toBeNull();
    expect(plain.maxCauses).toBe(1);
    expect(plain.causes[0]!.atWork.low).toBeNull();
  });

  test("another seed moves the intervals and not the chances", async () => {
    const causes = catalog.causes.map((cause) => ({ ...cause, rate: { value: 0.04, knowledge: 2 } }));
    const file = folder.file("spread.json", ticket({ catalog: { ...catalog, causes } }));
    const [one, two] = [await weighing(file, { seed: "1" }), await weighing(file, { seed: "2" })];
    expect(two.causes[0]!.present.p).toBe(one.causes[0]!.present.p);
    expect(two.causes[0]!.present.low).not.toBe(one.causes[0]!.present.low);
  });
});

describe("what is wrong", () => {
  test("a catalog that is not there is named, with the nearest that is", async () => {
    const lost = folder.file("lost.json", ticket({ catalog: "desktpo" }));
    const refused = page(lost);
    await expect(refused).rejects.toThrow(InputFaults);
    await expect(refused).rejects.toThrow(
      /catalog: found desktpo, expected the id of a catalog \(.*desktop.*\) or a path; nearest is desktop/,
    );
  });

  test.each<[files: string[], values: Values, says: string]>([
    [[], {}, "weigh: found 0 files, expected one ticket"],
    [[good, good], {}, "weigh: found 2 files, expected one ticket"],
    [[good], { causes: "many" }, "--causes: found many, expected a whole number from 0 to 1000"],
    [[good], { "max-causes": "9" }, "--max-causes: found 9, expected a whole number from 0 to 3"],
    [[good], { seed: "1e3" }, "--seed: found 1e3, expected a whole number"],
    [[good], { draws: "-1" }, "--draws: found -1, expected a whole number from 0 to 10000"],
  ])("the call weigh %j %j", async (files, values, says) => {
    const refused = weigh(files, values);
    await expect(refused).rejects.toThrow(CallFault);
    await expect(refused).rejects.toThrow(says);
  });
});
