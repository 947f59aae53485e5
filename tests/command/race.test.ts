/** `fitful race`: a table for people, figures for programs, and what is said of a wrong call. */
import { expect, test } from "vitest";
import type { Race } from "../../engine/practice/race.js";
import { race } from "../../engine/command/race.js";
import { CallFault, InputFaults, type Values } from "../../engine/command/reply.js";
import { Folder, fitful, STACK } from "./fitful.js";
import { catalog } from "../practice/small.js";

const folder = new Folder();
const file = folder.file("lamp-box.json", catalog);
const call = ["race", "--catalog", file, "--tickets", "9", "--strategies", "elimination,checklist"];

/** Workers read the program anew. */
const PATIENCE = 120_000;

test(
  "prints what each strategy costs and how it ends",
  async () => {
    const { out, err, code } = await fitful(call);
    expect({ err, code }).toEqual({ err: "", code: 0 });
    expect(out).toMatch(/^9 simulated tickets · lamp-box · machines as the catalog says · seed 1\n/);
    for (const words of [
      "Elimination, one clean start convicts",
      "A fixed checklist",
      "wrong parts",
      "comebacks",
    ])
      expect(out).toContain(words);
  },
  PATIENCE,
);

test(
  "the same call gives the same figures; another seed gives others",
  async () => {
    const json = async (...more: string[]) =>
      JSON.parse((await fitful([...call, "--json", ...more])).out) as Race;
    const [first, again, other] = await Promise.all([json(), json(), json("--seed", "2")]);
    expect(first).toMatchObject({ tickets: 9, seed: 1, world: "own", catalog: "lamp-box" });
    expect(first.figures.map((f) => f.id)).toEqual(["elimination", "checklist"]);
    expect(again).toEqual(first);
    expect(other.figures).not.toEqual(first.figures);
  },
  PATIENCE,
);

test.each<[Values, string]>([
  [{ tickets: "0" }, "--tickets: found 0, expected a whole number from 1 to 1000000"],
  [{ seed: "x" }, "--seed: found x, expected a whole number from 0 to"],
  [{ causes: "3" }, "--causes: found 3, expected a whole number from 1 to 2"],
  [{ world: "ownn" }, "--world: found ownn, expected one of own, wrong, missing, other; nearest is own"],
  [{ "wrong-by": "0.5" }, "--wrong-by: found 0.5, expected a number from 1 to 100"],
  [{ strategies: "carful" }, "--strategies: found carful, expected one of elimination, careful,"],
  [{ strategies: "" }, "--strategies: found nothing, expected one of"],
])("%o is refused as a wrong call", async (values, says) => {
  const refused = await race([], values).catch((error: unknown) => error);
  expect(refused).toBeInstanceOf(CallFault);
  expect((refused as CallFault).message).toContain(says);
});

test(
  "a file is refused: the command ends with 2 and shows nothing of the inside",
  async () => {
    const { out, err, code } = await fitful(["race", "a.json"]);
    expect({ out, code }).toEqual({ out: "", code: 2 });
    expect(err).toContain("race: found 1 files, expected none");
    expect(err).not.toMatch(STACK);
  },
  PATIENCE,
);

test("a catalog that is not there is named", async () => {
  const refused = await race([], { catalog: "desktopp" }).catch((error: unknown) => error);
  expect(refused).toBeInstanceOf(InputFaults);
  expect((refused as InputFaults).message).toContain("found desktopp, expected the id of a catalog");
});
