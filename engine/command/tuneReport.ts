/** Tuning in tables for people: what was read, what moved, whether it helps. */
import type { MinutesView } from "../learn/score/saved.js";
import type { ChangeView, Ranged, ScoresView, TuningView } from "../learn/tuning.js";
import type { Matching } from "../learn/table/matching.js";
import { percent } from "./figures.js";
import { paragraph, table, type Column } from "./table.js";
import type { Paired } from "../practice/pairedFigures.js";
import type { FileRead } from "./tuneInput.js";

const SHOWN = 12;
const FIRM = 20;
const REASONS = 8;

export interface Told {
  read: readonly FileRead[];
  /** tickets whose minutes were asked for, and what came of it */
  asked: number | undefined;
  minutes: MinutesView | null;
  /** where the catalog should go, and where it went */
  out: string | undefined;
  written: string | null;
}

export function tuneReport(view: TuningView, { read, asked, minutes, out, written }: Told): string {
  const { tickets, confirmed, first, last, calibration, passes } = view;
  // shares decide most; of the others those with much behind them
  const shown = view.changes.filter((c) => c.figure === "share" || c.tickets >= FIRM).slice(0, SHOWN);
  return [
    `${tickets} past tickets, ${confirmed} with a confirmed cause`,
    first === null ? "\n" : `, closed ${first} to ${last}\n`,
    ...read.map(fileText),
    "\nWhat moved\n",
    table(MOVED, shown.map(movedRow)),
    view.changes.length > SHOWN ? `  and ${view.changes.length - shown.length} more figures\n` : "",
    passesText(passes),
    calibration === null ? "\n" : "\nOn tickets left out\n",
    calibration === null ? "" : table(SCORES, scoreRows(calibration.before, calibration.after)),
    calibration === null ? "" : paragraph(howText(calibration)),
    paragraph(view.verdict),
    asked === undefined ? "" : minutesText(minutes),
    ...view.warnings.map((text) => paragraph(`Note: ${text}.`)),
    written === null
      ? out === undefined
        ? ""
        : `\n${out} was not written; --anyway writes it all the same.\n`
      : `\nWritten: ${written}\n`,
  ].join("");
}

/** How a table was understood: what is wrong here makes everything after it wrong. */
function readAs({ encoding, separator, decimal, days, columns, stopsAt }: Matching): string {
  const named = Object.entries({ ...columns, ...stopsAt }).map(([what, heading]) => `${what} = ${heading}`);
  const mark = separator === "\t" ? "tabs" : separator;
  return `Read as ${encoding} with ${mark} between cells, decimal mark ${decimal}, days ${days}: ${named.join(", ")}`;
}

function fileText({ file, count, note, matching }: FileRead): string {
  if (count === null) return `  ${file}: ${note ?? "taken in"}\n`;
  const reasons = count.reasons
    .slice(0, REASONS)
    .map(({ column, expected, rows }) => [String(rows), column, expected]);
  const strangers = count.strangers.slice(0, REASONS).map(({ word, rows }) => `${word} (${rows})`);
  return [
    `  ${file}: ${count.rows} rows, ${count.rejected} rejected\n`,
    table([{ title: "", align: "right" }, { title: "" }, { title: "", max: 70 }], reasons, "    "),
    matching === null ? "" : paragraph(readAs(matching), "    "),
    ...count.unused.map(({ what, rows }) => paragraph(`Not used: ${what}, in ${rows} rows`, "    ")),
    strangers.length === 0 ? "" : paragraph(`Words that name no cause: ${strangers.join(", ")}`, "    "),
  ].join("");
}

const right = (title: string): Column => ({ title, align: "right" });
const MOVED: Column[] = [
  { title: "", max: 34 },
  { title: "", max: 20 },
  right("tickets"),
  right("before"),
  { title: "" },
  right("after"),
  { title: "" },
];

const movedRow = (c: ChangeView): string[] => [
  c.name,
  figureName(c),
  c.tickets < 10 && c.tickets % 1 !== 0 ? c.tickets.toFixed(1) : c.tickets.toFixed(0),
  said(c, c.before.value),
  rangeOf(c, c.before),
  said(c, c.after.value),
  rangeOf(c, c.after),
];

const NAMES: Record<ChangeView["figure"], string> = {
  share: "share",
  hard: "shows every time",
  rate: "shows otherwise",
  stages: "stops at",
  event: "brought in by",
  minutes: "minutes",
  cure: "cures",
  "failures a year": "failures a year",
};

const figureName = ({ figure, about }: ChangeView) =>
  about === null ? NAMES[figure] : `${NAMES[figure]} ${about}`;

const said = ({ figure }: ChangeView, x: number): string =>
  figure === "minutes" ? x.toFixed(1) : x < 0.0995 ? `${(100 * x).toFixed(1)} %` : percent(x);

const rangeOf = (c: ChangeView, { low, high }: Ranged) =>
  `${said(c, low).replace(" %", "")}–${said(c, high)}`;

function passesText(passes: TuningView["passes"]): string {
  const rows = passes.map((pass, k) => [
    String(k),
    pass.logEvidence.toFixed(2),
    pass.logPosterior.toFixed(2),
  ]);
  return (
    "\nFit, pass by pass\n" + table([right("pass"), right("log evidence"), right("with the log prior")], rows)
  );
}

const SCORES: Column[] = [{ title: "" }, right("before"), right("after")];

function scoreRows(before: ScoresView, after: ScoresView): string[][] {
  const row = (name: string, of: (s: ScoresView) => string) => [name, of(before), of(after)];
  const share = ({ p, low, high }: ScoresView["first"]) =>
    `${percent(p)} (${Math.round(100 * low)}–${Math.round(100 * high)})`;
  return [
    row("log score, bits", (s) => s.bits.toFixed(3)),
    row("Brier score", (s) => s.brier.toFixed(4)),
    row("  reliability, smaller is better", (s) => (s.parts.reliability * 1e4).toFixed(2) + "e-4"),
    row("  resolution, larger is better", (s) => (s.parts.resolution * 1e4).toFixed(2) + "e-4"),
    row("true cause first", (s) => share(s.first)),
    row("true cause among the first three", (s) => share(s.firstThree)),
  ];
}

const PAIRED: Column[] = [...SCORES, right("difference")];

function minutesText(minutes: MinutesView | null): string {
  if (minutes === null) return paragraph("Minutes: too few tickets can be left out.");
  const row = (name: string, { before, after, difference }: Paired, figure: (x: number) => string) => {
    const apart = (x: number) => `${x < 0 ? "−" : "+"}${figure(Math.abs(x))}`;
    const { value, low, high } = difference;
    return [name, figure(before), figure(after), `${apart(value)} (${apart(low)} to ${apart(high)})`];
  };
  const { tickets, skipped, minutes: labour, total, right: named } = minutes;
  return [
    "\nThe same machines worked before and after tuning, as advised\n",
    table(PAIRED, [
      row("minutes", labour, (x) => x.toFixed(1)),
      row("cost to the end, comebacks included", total, (x) => x.toFixed(0)),
      row("right cause named", named, percent),
    ]),
    paragraph(
      `${tickets} machines made after tickets left out${skipped > 0 ? `, ${skipped} more could not be made` : ""}; brackets hold 95 % intervals of the paired difference.`,
    ),
  ].join("");
}

const howText = ({ how, tickets, every }: NonNullable<TuningView["calibration"]>): string =>
  `${tickets} confirmed tickets left out ${how === "time" ? "at the end, by time" : "a fifth at a time"}` +
  `${every > 1 ? `, one of every ${every}` : ""}; brackets hold 95 % intervals.`;
