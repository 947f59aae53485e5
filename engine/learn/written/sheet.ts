/** What tuning writes: changes of a catalog, the same for people, and what they should know of it. */
import type { Tuning } from "../../catalog/schema.js";
import type { Fitted } from "../fit/fit.js";
import type { Start } from "../fit/start.js";
import type { Tally } from "../tally/tally.js";
import type { ChangeView, Ranged } from "../tuning.js";

/** What was learned, and from what. */
export interface Learned {
  start: Start;
  fitted: Fitted;
  tally: Tally;
  /** said beside every figure that is written */
  source: string;
}

/** What a figure is of: a cause, a repair, or what stands beside the causes. */
interface Owner {
  id: string;
  name: string;
  group: string;
}

export class Sheet {
  readonly changes: Tuning["changes"][number][] = [];
  readonly views: ChangeView[] = [];
  readonly warnings: string[] = [];

  write(path: string[], after: unknown): void {
    this.changes.push({ path, after });
  }

  view({ id, name, group }: Owner, view: Omit<ChangeView, "of" | "name" | "group">): void {
    this.views.push({ of: id, name, group, ...view });
  }
}

/** A cause that fewer tickets speak of, expected ones, keeps its rate and its signature. */
export const FEWEST = 0.5;

/** A figure known without doubt. */
export const exactly = (value: number): Ranged => ({ value, low: value, high: value });
/** Without the parameters that it came from. */
export const rangedOf = ({ value, low, high }: Ranged): Ranged => ({ value, low, high });

/** Five digits: more were never learned from tickets. */
export const rounded = (x: number): number => Number(x.toPrecision(5));
