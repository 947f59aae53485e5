/**
 * A lesson played: its figures as the controls stand, and along a control. Everything is weighed by the engine.
 */
import type { Catalog } from "../../catalog/schema.js";
import { numberOf } from "../../catalog/figures.js";
import type { Weighing } from "../../weighing.js";
import { createWeigher } from "../../weigh.js";
import { meantBy, ticketWith } from "./controls.js";
import type { ControlValues, Lesson, LessonFigure, LessonReading } from "./schema.js";

export interface LinePoint {
  /** the control's value */
  x: number;
  figure: string;
  name: string;
  value: number;
}

/** Points of a line at most. */
const POINTS = 61;
/** A control is followed no further than this to find the smallest that will do. */
const FARTHEST = 5000;

export class Player {
  readonly #weighed = new Map<string, Weighing>();

  constructor(readonly lesson: Lesson) {}

  /** @throws {Error} where the lesson's ticket cannot be weighed so */
  figure(id: string, values: ControlValues): number {
    const figure = this.#figure(id);
    if (figure.read) return read(figure.read, this.#weigh(values), this.#catalog);
    if (figure.ratio) return this.figure(figure.ratio[0], values) / this.figure(figure.ratio[1], values);
    return this.#smallest(figure.smallest!, values);
  }

  all(values: ControlValues): Record<string, number> {
    return Object.fromEntries(this.lesson.figures.map(({ id }) => [id, this.figure(id, values)]));
  }

  line(along: string, figures: readonly string[], values: ControlValues): LinePoint[] {
    const control = this.#control(along);
    const steps = Math.round((control.max - control.min) / control.step);
    const every = Math.max(1, Math.ceil(steps / (POINTS - 1)));
    const at = Array.from(
      { length: Math.floor(steps / every) + 1 },
      (_, k) => control.min + k * every * control.step,
    );
    return figures.flatMap((id) =>
      at.map((x) => ({
        x,
        figure: id,
        name: this.#figure(id).name,
        value: this.figure(id, { ...values, [along]: x }),
      })),
    );
  }

  /** By doubling and halving: the figure falls as the control rises. */
  #smallest(search: NonNullable<LessonFigure["smallest"]>, values: ControlValues): number {
    const { control, figure, atMost, atMostFigure, with: held } = search;
    const limit = atMostFigure
      ? this.figure(atMostFigure, values)
      : meantBy(this.#control(atMost!), values[atMost!]!);
    // a limit that is met exactly is met
    const isEnough = (x: number) =>
      this.figure(figure, { ...values, ...held, [control]: x }) <= limit * (1 + 1e-12);
    let [low, high] = [-1, 1];
    if (isEnough(0)) return 0;
    while (!isEnough(high)) {
      if (high >= FARTHEST) return Infinity;
      [low, high] = [high, 2 * high];
    }
    while (high - low > 1) {
      const middle = Math.floor((low + high) / 2);
      if (isEnough(middle)) high = middle;
      else low = middle;
    }
    return high;
  }

  get #catalog(): Catalog {
    return this.lesson.ticket.catalog as Catalog;
  }

  #figure(id: string): LessonFigure {
    const found = this.lesson.figures.find((f) => f.id === id);
    if (!found) throw new RangeError(`figures: found ${id}, expected a figure of lesson ${this.lesson.id}`);
    return found;
  }

  #control(id: string) {
    const found = this.lesson.controls.find((c) => c.id === id);
    if (!found) throw new RangeError(`controls: found ${id}, expected a control of lesson ${this.lesson.id}`);
    return found;
  }

  #weigh(values: ControlValues): Weighing {
    const ticket = ticketWith(this.lesson, values);
    const key = JSON.stringify(ticket);
    const known = this.#weighed.get(key);
    if (known) return known;
    const weighed = createWeigher(ticket.catalog as Catalog).weigh(ticket, { advice: false });
    if ("issues" in weighed)
      throw new Error(`lesson ${this.lesson.id}: ${weighed.issues.map((x) => x.message).join("; ")}`);
    this.#weighed.set(key, weighed.weighing);
    return weighed.weighing;
  }
}

function read(reading: LessonReading, weighing: Weighing, catalog: Catalog): number {
  const cause = (id: string) => named(weighing.causes, id);
  switch (reading.of) {
    case "present":
    case "atWork":
      if (reading.after === undefined) return cause(reading.cause)[reading.of].p;
      return named(weighing.entries, reading.after)[reading.of][reading.cause]!;
    case "none":
    case "unlisted":
      if (reading.after === undefined) return weighing[reading.of].p;
      return named(weighing.entries, reading.after)[reading.of];
    case "prior":
      return cause(reading.cause).prior;
    case "rate":
      return cause(reading.cause).rate?.[reading.point] ?? 0;
    case "decibans":
      return named(weighing.entries, reading.entry).ledger[reading.cause] ?? -Infinity;
    case "factor":
      return 10 ** ((named(weighing.entries, reading.entry).ledger[reading.cause] ?? -Infinity) / 10);
    case "next":
      return weighing.predictive.find((o) => o.outcome === reading.outcome)?.p ?? 0;
    case "set":
      return weighing.sets.find((s) => sameIds(s.causes, reading.causes))?.p ?? 0;
    case "price":
      return numberOf(named(catalog.parts, reading.part).price ?? 0);
  }
}

const sameIds = (x: readonly string[], y: readonly string[]) =>
  x.length === y.length && x.every((id) => y.includes(id));

function named<T extends { id: string }>(list: readonly T[], id: string): T {
  const found = list.find((item) => item.id === id);
  if (!found)
    throw new RangeError(`figure: found ${id}, expected one of ${list.map((x) => x.id).join(", ")}`);
  return found;
}
