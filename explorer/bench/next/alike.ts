/** Tests that tell the same: listed once, with the others under it. Pure. */
import type { TestView } from "../../../engine/weighing.js";

export interface Alike {
  /** the one that is ranked first */
  test: TestView;
  others: TestView[];
}

/** Bits that differ by less than this share, and answers by less than this chance, make no difference to anybody. */
const [BITS, CHANCE] = [0.05, 0.02];

/** In the order of the ranking; what is like an earlier test stands under it. */
export function alikeTests(tests: readonly TestView[]): Alike[] {
  const groups: Alike[] = [];
  for (const test of tests) {
    const group = groups.find((g) => isAlike(g.test, test));
    if (group) group.others.push(test);
    else groups.push({ test, others: [] });
  }
  return groups;
}

/** The same look made on another part; or as many starts under the same conditions that would tell the same. */
function isAlike(one: TestView, two: TestView): boolean {
  if (one.finding || two.finding) return one.finding?.id === two.finding?.id;
  if (one.reading || two.reading) return one.reading?.id === two.reading?.id;
  const row = ({ n, stopEarly, conditions }: TestView) => JSON.stringify([n, stopEarly, conditions]);
  return row(one) === row(two) && near(one.bits, two.bits) && sameAnswers(one, two);
}

const near = (x: number, y: number) => Math.abs(x - y) <= BITS * Math.max(x, y);

function sameAnswers(one: TestView, two: TestView): boolean {
  const chances = new Map(one.answers.map(({ outcome, chance }) => [outcome, chance]));
  return two.answers.every(({ outcome, chance }) => Math.abs(chance - (chances.get(outcome) ?? 0)) <= CHANCE);
}
