/** The information that the engine claims for its next tests, against brute force: all looks, and some tests with a few starts. */
import type { Advice, TestView } from "../../engine/weighing.js";
import type { Note } from "./compare.js";
import type { Table } from "./dense.js";
import {
  findingInformation,
  information,
  readingInformation,
  targetEntropy,
  type Candidate,
} from "./information.js";
import {
  changed,
  exposuresIn,
  findingAsked,
  minutesOf,
  readingAsked,
  repaired,
  repairStep,
  reseated,
  setupKey,
  type Translation,
} from "./translate.js";

/** How many tests with starts are worked out (the first, the last and some between), and up to how many starts, by K. */
const MOST = [5, 5, 4, 1];
const LONGEST = [3, 3, 2, 1];

export function compareAdvice(told: Translation, table: Table, advice: Advice, note: Note): void {
  const { world, last } = told;
  note("entropy of the target", advice.entropy, targetEntropy(table, advice.target), "bits");
  const starts = advice.tests.filter((x) => x.kind === "starts" || x.kind === "repair");
  for (const test of spread(starts, MOST[told.model.maxCauses]!)) compareStarts(told, test, advice, note);
  for (const test of advice.tests) {
    const at = `test ${test.id} (${test.title})`;
    if (test.finding) {
      const finding = world.catalog.findings!.find((f) => f.id === test.finding!.id)!;
      note(
        at,
        test.bits,
        findingInformation(
          table,
          findingAsked(world, last, finding, test.finding.on ?? undefined),
          advice.target,
        ),
        "bits",
      );
    }
    if (test.reading) {
      const reading = world.catalog.readings!.find((r) => r.id === test.reading!.id)!;
      note(
        at,
        test.bits,
        readingInformation(
          table,
          readingAsked(world, last, reading, test.reading.on ?? undefined),
          advice.target,
        ),
        "bits",
      );
    }
  }
}

function compareStarts(
  { model, steps, world, last }: Translation,
  test: TestView,
  advice: Advice,
  note: Note,
): void {
  const moved = test.change ? changed(last, test.change) : last;
  const mended = test.repair ? { repair: test.repair.repair, on: test.repair.on ?? undefined } : null;
  const after = mended ? repaired(world, moved, mended) : moved;
  const minutes = minutesOf(world, test.conditions);
  const candidate: Omit<Candidate, "n"> = {
    clears: [reseated(world, last, moved), ...(mended ? [repairStep(world, moved, mended).clears] : [])],
    exposures: exposuresIn(world, after, minutes),
    setup: setupKey(world, after, minutes),
  };
  for (const size of test.sizes) {
    if (size.n > LONGEST[model.maxCauses]! || size.bitsError > 0 || size.bound || size.stopEarly) continue;
    const bits = information(model, steps, { ...candidate, n: size.n }, advice.target, 1e-10);
    note(`test ${test.id} (${test.title}), ${size.n} starts`, size.bits, bits, "bits");
  }
}

function spread<T>(all: T[], most: number): T[] {
  if (all.length <= most) return all;
  return Array.from(
    { length: most },
    (_, k) => all[Math.round((k * (all.length - 1)) / Math.max(1, most - 1))]!,
  );
}
