/** Is it fixed, and what if a prior is wrong: two sections of the page. */
import type { Catalog } from "../catalog/schema.js";
import { usageWords } from "../plan/usage.js";
import type { ProvingView, ReleaseView, SensitivityMove, SensitivityView } from "../weighing.js";
import { percent, rough } from "./figures.js";
import { paragraph, table, type Column } from "./table.js";

/** Points of the curve that are printed. */
const POINTS = [0, 1, 2, 3, 5, 10, 20, 50, 100, 200, 500];
const CURVE_COLUMNS: Column[] = [
  { title: "clean starts from now", align: "right" },
  { title: "as it is", align: "right" },
  { title: "the better way", align: "right" },
];

export function isFixed(release: ReleaseView, catalog: Catalog): string {
  const { nothingAtWork, comeback, here, best } = release;
  const rows = POINTS.map((n) => [
    String(n),
    percent(chanceAt(here, n)),
    best ? percent(chanceAt(best, n)) : "",
  ]);
  return (
    paragraph(
      `Nothing on the list is at work any more: ${percent(nothingAtWork)}. ` +
        `Chance of a comeback ${usageWords(release, catalog)}: ${percent(comeback)}; the limit is ${percent(release.limit)}.`,
    ) +
    paragraph(proofWords(release)) +
    table(best ? CURVE_COLUMNS : CURVE_COLUMNS.slice(0, 2), best ? rows : rows.map((row) => row.slice(0, 2)))
  );
}

const chanceAt = ({ curve }: ProvingView, n: number): number =>
  curve.find((point) => point.n === n)!.comeback;

function proofWords({ here, best }: ReleaseView): string {
  if (here.needed === 0) return "No further start is needed to release it.";
  const asItIs =
    here.needed === null
      ? "As it is, 500 further clean starts would not bring it under the limit."
      : `As it is, ${starts(here)} would.`;
  return best
    ? `${asItIs} Better: ${best.title} That is ${rough(best.minutes!)} minutes of labour, the way back included and rests at the price of unattended time.`
    : asItIs;
}

const starts = ({ needed, minutes }: ProvingView): string =>
  `${needed} further clean ${needed === 1 ? "start" : "starts"} (${rough(minutes!)} minutes)`;

// what if a prior is wrong

/** Moves that are printed. */
const MOVES = 3;

/** @param tests  titles of tests by id */
export function whatIf(
  { factor, moves }: SensitivityView,
  names: ReadonlyMap<string, string>,
  tests: ReadonlyMap<string, string>,
): string {
  const times = `${rough(factor)} times`;
  if (moves.length === 0)
    return paragraph(
      `No single prior, ${times} as likely or as unlikely, would change what leads or what to test.`,
    );
  const said = moves.slice(0, MOVES).map((move) => paragraph(moveWords(move, times, names, tests)));
  const left = moves.length - said.length;
  return said.join("") + (left > 0 ? paragraph(`and ${left} more such changes`) : "");
}

function moveWords(
  { prior, factor, leading, p, former, test }: SensitivityMove,
  times: string,
  names: ReadonlyMap<string, string>,
  tests: ReadonlyMap<string, string>,
): string {
  const name = (id: string) => names.get(id) ?? id;
  const effects = [
    ...(p > former ? [`${name(leading)} would lead with ${percent(p)}`] : []),
    ...(test === null ? [] : [`the test would be: ${tests.get(test) ?? test}`]),
  ];
  return `${name(prior)}, ${times} as ${factor > 1 ? "likely" : "unlikely"} beforehand: ${effects.join("; ")}`;
}
