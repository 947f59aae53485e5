/** A race in tables for people. */
import type { Race } from "../practice/race.js";
import type { Spread, StrategyFigures } from "../practice/figures.js";
import type { Interval } from "../practice/interval.js";
import { worldWords } from "../practice/worlds.js";
import { paragraph, table, type Column } from "./table.js";
import { rough } from "./figures.js";

export function raceReport(race: Race): string {
  const { figures, prices } = race;
  const first = figures[0]!;
  return [
    `${race.tickets} simulated tickets · ${race.catalog} · ${worldWords(race.world, race.wrongBy)} · seed ${race.seed}\n`,
    paragraph(
      `Total: minutes at the labour rate, parts, ${prices.comeback} for a comeback, ${prices.returned} for a machine ` +
        `given back, over its budget of ${prices.budget} or not solved in ${prices.minutes} minutes. ` +
        "In brackets: 95 % intervals.",
      "",
    ),
    "\nWhat a ticket costs\n",
    table(COSTS, figures.map(costs)),
    "\nHow it ends\n",
    table(ENDS, figures.map(ends)),
    `\nAgainst: ${first.name.toLowerCase()}\n`,
    table(RATIOS, figures.slice(1).map(ratios)),
  ].join("");
}

const right = (title: string): Column => ({ title, align: "right" });
const COSTS = [
  { title: "" },
  right("minutes"),
  right("money"),
  right("total"),
  right("median"),
  right("10 to 90 %"),
];
const ENDS = [
  ...[{ title: "" }, right("wrong parts"), right("comebacks %"), right("right cause %")],
  ...[right("back"), right("over"), right("open")],
];
const RATIOS = [
  { title: "" },
  right("total"),
  right("minutes"),
  right("money"),
  right("wrong parts"),
  right("comebacks"),
];

const range = ({ value, low, high }: Interval, say: (x: number) => string) =>
  `${say(value)} (${say(low)}–${say(high)})`;
const meanOf = ({ mean }: Spread) => range(mean, (x) => x.toFixed(0));

const costs = (f: StrategyFigures) => [
  f.name,
  meanOf(f.minutes),
  meanOf(f.money),
  meanOf(f.total),
  f.total.median.toFixed(0),
  `${f.total.deciles[0]!.toFixed(0)}–${f.total.deciles[8]!.toFixed(0)}`,
];

const share = (interval: Interval) => range(interval, (x) => (100 * x).toFixed(1));

const ends = (f: StrategyFigures) => [
  f.name,
  range(f.wrongParts, (x) => x.toFixed(3)),
  share(f.comebacks),
  share(f.rightCauses),
  ...[f.outcomes.returned, f.outcomes["over budget"], f.outcomes.unresolved].map(String),
];

const ratio = (interval: Interval | null) => (interval ? range(interval, rough) : "–");

const ratios = ({ name, ratios: r }: StrategyFigures) => [
  name,
  ratio(r.total),
  ratio(r.minutes),
  ratio(r.money),
  ratio(r.wrongParts),
  ratio(r.comebacks),
];
