/** A weighing as a page of plain text: what it could be, what the record taught, what to do next. */
import type { Catalog } from "../catalog/schema.js";
import type { Ticket } from "../ticket/schema.js";
import type { AnswerView, CauseView, EntryView, FinishView, TestView, Weighing } from "../weighing.js";
import { isFixed, whatIf } from "./fixed.js";
import { howOften, oneDigit, percent, range, rough, signed } from "./figures.js";
import { bar, paragraph, table, type Column } from "./table.js";
import { Words } from "./words.js";

const BAR = 16;
/** decibans; a smaller weight of evidence is not worth a line */
const WORTH_SAYING = 1;

export function report(weighing: Weighing, ticket: Ticket, catalog: Catalog, causesShown: number): string {
  const words = new Words(ticket, catalog);
  return [
    heading(weighing, ticket),
    suspects(weighing, causesShown),
    warnings(weighing),
    taught(weighing, ticket, words),
    ...advice(weighing),
    ...fixed(weighing, catalog),
  ]
    .filter((section) => section !== "")
    .join("\n");
}

const section = (title: string, body: string): string => `${title}\n${body}`;

function heading({ ticket, catalog }: Weighing, { entries }: Ticket): string {
  const minutes = entries.reduce((sum, entry) => sum + (entry.minutes ?? 0), 0);
  const spent = minutes > 0 ? `, ${rough(minutes)} minutes so far` : "";
  return `${ticket.title}\n${paragraph(`${catalog.name} (catalog ${catalog.id}, version ${catalog.version})${spent}`)}`;
}

// what it could be

const SUSPECT_COLUMNS: Column[] = [
  { title: "", max: 36 },
  { title: "was it", align: "right" },
  { title: "", align: "right" },
  { title: "" },
  { title: "at work", align: "right" },
  { title: "shows" },
];

function suspects({ causes, none, unlisted, nothingAtWork }: Weighing, shown: number): string {
  const ranked = [...causes].sort((x, y) => y.present.p - x.present.p);
  const rows = [
    ...ranked.slice(0, shown).map(suspectRow),
    chanceRow("Nothing was wrong", none),
    chanceRow("Something not on the list", unlisted),
  ];
  const rest = ranked.slice(shown);
  const above = Math.max(1, Math.ceil(100 * (rest[0]?.present.p ?? 0)));
  const more = rest.length === 0 ? "" : paragraph(`and ${rest.length} more, none above ${above} %`);
  return section("What it could be", table(SUSPECT_COLUMNS, rows) + more + legend(nothingAtWork));
}

const suspectRow = ({ name, atWork, present, ifUsed, rate }: CauseView): string[] => [
  ...chanceRow(name, present),
  ifUsed === null ? percent(atWork.p) : `(${percent(ifUsed)})`,
  rate === null ? "" : howOften(rate.mean),
];

const chanceRow = (name: string, { p, low, high }: Weighing["none"]): string[] => [
  name,
  percent(p),
  range(low, high),
  bar(p, high, BAR),
];

const legend = (nothingAtWork: number): string =>
  paragraph(`Nothing on the list is at work in the machine as it stands: ${percent(nothingAtWork)}.`) +
  paragraph(
    "was it: the chance that it was there when the machine came in, with the range that the uncertain rates " +
      "leave; at work: that it still is, in brackets where it is not part of the setup now; " +
      "shows: how often, if it was",
  );

const warnings = ({ warnings }: Weighing): string =>
  warnings.length === 0
    ? ""
    : section(
        "Mind",
        warnings
          .map(({ text, entry }) => paragraph(entry ? `${entry}: ${text}` : text, "  ! ", "    "))
          .join(""),
      );

// what the record taught

const TAUGHT_COLUMNS: Column[] = [
  { title: "", max: 8 },
  { title: "entry", max: 38 },
  { title: "bits", align: "right" },
  { title: "usual", align: "right" },
  { title: "decibans for and against", max: 34 },
];

function taught({ entries, causes }: Weighing, ticket: Ticket, words: Words): string {
  const names = new Map(causes.map((cause) => [cause.id, cause.name]));
  const priors = Object.fromEntries(causes.map((cause) => [cause.id, cause.prior]));
  const rows = entries.map((view, i) => {
    const before = entries[i - 1]?.present ?? priors;
    return [view.id, words.entry(ticket.entries[i]!), ...surprise(view), weights(view, before, names)];
  });
  if (rows.length === 0) return "";
  const legend = paragraph("bits: how surprising the entry was, beside what was to be expected before it");
  return section("What the record taught", table(TAUGHT_COLUMNS, rows) + legend);
}

/** Nothing for entries that are no evidence. */
const surprise = ({ surprise, expected }: EntryView): [string, string] => [
  surprise === null || surprise === 0 ? "" : oneDigit(surprise),
  expected === null || surprise === 0 ? "" : oneDigit(expected),
];

/** Weights of evidence of the causes whose chance moved most. */
const weights = (
  { ledger, present }: EntryView,
  before: Record<string, number>,
  names: Map<string, string>,
): string =>
  Object.entries(ledger)
    .flatMap(([id, weight]) => (weight !== null && Math.abs(weight) >= WORTH_SAYING ? [{ id, weight }] : []))
    .map(({ id, weight }) => ({ id, weight, moved: Math.abs((present[id] ?? 0) - (before[id] ?? 0)) }))
    .sort((x, y) => y.moved - x.moved)
    .slice(0, 2)
    .map(({ id, weight }) => `${signed(weight)} ${names.get(id) ?? id}`)
    .join("; ");

// is it fixed, and how sure the priors need to be

function fixed({ release, sensitivity, causes, next }: Weighing, catalog: Catalog): string[] {
  const names = new Map([
    ...causes.map(({ id, name }) => [id, name] as const),
    ["none", "Nothing wrong"] as const,
    ["unlisted", "Something not on the list"] as const,
  ]);
  const tests = new Map(next?.tests.map(({ id, title }) => [id, title]));
  return [
    ...(release ? [section("Is it fixed?", isFixed(release, catalog))] : []),
    ...(sensitivity ? [section("If a prior is wrong", whatIf(sensitivity, names, tests))] : []),
  ];
}

// do next

function advice({ ticket, next, causes }: Weighing): string[] {
  const [first, ...others] = next?.tests ?? [];
  if (!next || !first)
    return next
      ? [section("Do next, by what it tells", paragraph("No test is left that would tell anything."))]
      : [];
  return [
    section("Do next, by what it tells", best(first, new Map(causes.map((cause) => [cause.id, cause.name])))),
    inOrder(others),
    ...(next.dropped > 0
      ? [paragraph(`${next.dropped} more could be done and were not weighed; they are other arrangements.`)]
      : []),
    section(ticket.currency ? `By money, in ${ticket.currency}` : "By money", byMoney(next.finish)),
  ];
}

const MONEY_COLUMNS: Column[] = [
  { title: "", max: 64 },
  { title: "to the end", align: "right" },
];

/** The expected cost to the end with each thing that could be done next, and the repairs in order. */
function byMoney({ advice, runnerUp, margin, asGood, options, repairs }: FinishView): string {
  const rows = options.map(({ title, cost }) => [title, rough(cost)]);
  const lead = runnerUp
    ? asGood
      ? `; about as good: ${runnerUp.title}`
      : `, ${rough(margin)} less than: ${runnerUp.title}`
    : "";
  const order = repairs.slice(0, 4).map(({ title }, k) => paragraph(`${k + 1}. ${title}`, "    ", "       "));
  return (
    paragraph(`${advice.title} Expected cost to the end ${rough(advice.cost)}${lead}`) +
    table(MONEY_COLUMNS, rows) +
    (order.length === 0 || advice.kind === "release"
      ? ""
      : paragraph("Without any more tests, in this order:") + order.join(""))
  );
}

function best(test: TestView, names: Map<string, string>): string {
  const money = test.money > 0 ? `, parts and risk ${rough(test.money)}` : "";
  const figures = `${rough(test.minutes)} minutes${money}, ${bits(test)} bits, ${rough(test.bitsPerMinute)} bits a minute`;
  return (
    paragraph(test.title) +
    paragraph(figures) +
    test.cautions.map(({ text, danger }) => paragraph(text, danger ? "  !! " : "  ! ", "     ")).join("") +
    table(
      [
        { title: "", max: 80 },
        { title: "", align: "right" },
      ],
      test.steps.map((step) => [step.text, `${rough(step.minutes)} min`]),
    ) +
    table(
      ANSWER_COLUMNS,
      test.answers.map((answer) => answerRow(answer, names)),
    )
  );
}

const bits = ({ bits, bitsError, atLeast }: TestView): string =>
  (atLeast ? "≥ " : "") + rough(bits) + (bitsError > 0 ? ` ± ${rough(bitsError)}` : "");

const ANSWER_COLUMNS: Column[] = [
  { title: "if it", max: 32 },
  { title: "chance", align: "right" },
  { title: "then", max: 52 },
];

const answerRow = ({ text, chance, effects }: AnswerView, names: Map<string, string>): string[] => [
  text,
  percent(chance),
  effects
    .slice(0, 2)
    .map(({ cause, before, after }) => `${names.get(cause) ?? cause} ${percent(before)} → ${percent(after)}`)
    .join(", "),
];

const OTHERS_SHOWN = 6;
const OTHER_COLUMNS: Column[] = [
  { title: "", max: 44 },
  { title: "min", align: "right" },
  { title: "bits", align: "right" },
  { title: "a minute", align: "right" },
  { title: "why not first", max: 26 },
];

function inOrder(tests: readonly TestView[]): string {
  const rows = tests
    .slice(0, OTHERS_SHOWN)
    .map((test) => [
      test.title,
      rough(test.minutes),
      bits(test),
      rough(test.bitsPerMinute),
      test.whyNot ?? "",
    ]);
  return rows.length === 0 ? "" : section("Or", table(OTHER_COLUMNS, rows));
}
