/**
 * What is drawn of a small random problem, before it is written as a ticket or in plain arrays. All figures are invented.
 */
import { randomLcg } from "d3-random";

/** Parts, one of a kind. */
export const PARTS = ["head", "feed"];

/** What the shop pays and loses. A machine that comes back is given back: it costs both. */
interface Prices {
  labourPerHour: number;
  returned: number;
  comeback: number;
}

interface Draw {
  between(low: number, high: number): number;
  whole(low: number, high: number): number;
  one<T>(...from: T[]): T;
}

function drawing(seed: number): Draw {
  const uniform = randomLcg(((seed + 1) * 0.6180339887498949) % 1);
  for (let k = 0; k < 8; k++) uniform();
  const between = (low: number, high: number) => low + (high - low) * uniform();
  const whole = (low: number, high: number) => Math.floor(between(low, high + 1));
  return { between, whole, one: (...from) => from[whole(0, from.length - 1)]! };
}

/** Figures as a person would write them: two digits behind the point. */
const round = (x: number) => Math.round(x * 100) / 100;

export interface Cause {
  id: string;
  part: number;
  chance: number;
  rate: number;
  dark: number;
  /** exposure[setting][condition] */
  exposure: number[][];
  repair: { minutes: number; money: number; efficacy: number };
}

interface Look {
  part: number;
  minutes: number;
  base: number;
  /** cause → chance that it brings the first value up */
  shows: Map<number, number>;
}

/** All that is drawn; catalog, ticket and world are three ways to write it. */
export interface Figures {
  prices: Prices;
  nothingWrong: number;
  causes: Cause[];
  looks: Look[];
  settings: number;
  /** minutes waited for in each condition */
  waits: number[];
  trialMinutes: number;
  settingMinutes: number;
}

/** Six to eight tests: looks, arrangements other than as it is, and the start as it is. */
export function figuresOf(seed: number): Figures {
  const draw = drawing(seed);
  const tests = draw.whole(6, 8);
  const settings = draw.whole(1, 3);
  const conditions = settings === 1 ? 2 : draw.whole(1, 2);
  const waits = [0, round(draw.between(8, 25))].slice(0, conditions);
  const causes = Array.from({ length: draw.whole(4, 6) }, (_, k) => causeOf(draw, k, settings, conditions));
  const looks = Array.from({ length: tests - settings - conditions + 1 }, (_, k) => lookOf(draw, k, causes));
  return {
    prices: {
      labourPerHour: draw.whole(36, 60),
      returned: draw.whole(60, 250),
      comeback: draw.whole(120, 500),
    },
    nothingWrong: round(draw.between(0.01, 0.1)),
    causes,
    looks,
    settings,
    waits,
    trialMinutes: round(draw.between(2, 5)),
    settingMinutes: round(draw.between(1, 6)),
  };
}

/** Every cause has exposure in the machine as it came in, or the customer would not have noticed it. */
function causeOf(draw: Draw, k: number, settings: number, conditions: number): Cause {
  const exposure = Array.from({ length: settings }, (_, setting) =>
    Array.from({ length: conditions }, (_, condition) =>
      setting + condition === 0 ? draw.one(0.5, 1, 1) : draw.one(0, 0, 0.5, 1, 1, 2),
    ),
  );
  return {
    id: `cause-${k + 1}`,
    part: k % PARTS.length,
    chance: round(draw.between(0.02, 0.25)),
    rate: draw.one(1, 1, 1, round(draw.between(0.3, 1)), round(draw.between(0.3, 1))),
    dark: draw.one(0, 1),
    exposure,
    repair: {
      minutes: round(draw.between(8, 45)),
      money: draw.one(0, draw.whole(5, 90)),
      efficacy: draw.one(1, round(draw.between(0.8, 1))),
    },
  };
}

function lookOf(draw: Draw, k: number, causes: readonly Cause[]): Look {
  const part = k % PARTS.length;
  const tied = causes.flatMap((c, i) => (c.part === part ? [i] : []));
  const sure = draw.one(...tied);
  const shows = new Map(
    tied.map((i) => [
      i,
      i === sure ? round(draw.between(0.8, 0.98)) : draw.one(0, 0, round(draw.between(0, 0.3))),
    ]),
  );
  return { part, minutes: round(draw.between(2, 15)), base: round(draw.between(0.01, 0.1)), shows };
}
