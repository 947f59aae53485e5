/** How hard a practice machine is: which truths it may have. Light enough for a page that only names them. */

export interface Difficulty {
  name: string;
  /** faults at once that the page's belief considers */
  considers: 1 | 2;
  /** may this set of causes be the truth? */
  allows(causes: readonly number[], own: (i: number) => boolean, spare: (i: number) => boolean): boolean;
  /** the truth's rates lie between these */
  rates: readonly [number, number];
}

export const DIFFICULTIES = {
  plain: {
    name: "One fault that shows at most starts",
    considers: 1,
    allows: (causes, own) => causes.length === 1 && causes.every(own),
    rates: [0.5, 1],
  },
  fitful: {
    name: "One fault that comes and goes",
    considers: 1,
    allows: (causes, own) => causes.length === 1 && causes.every(own),
    rates: [0.08, 0.5],
  },
  spare: {
    name: "One fault, and a spare on the shelf is bad",
    considers: 2,
    allows: (causes, own, spare) => causes.length === 2 && causes.some(own) && causes.some(spare),
    rates: [0.15, 1],
  },
  double: {
    name: "Two faults at once",
    considers: 2,
    allows: (causes, own) => causes.length === 2 && causes.every(own),
    rates: [0.15, 1],
  },
  open: {
    name: "Whatever comes in: nothing wrong, or something on no list, too",
    considers: 2,
    allows: () => true,
    rates: [0, 1],
  },
} satisfies Record<string, Difficulty>;

export type DifficultyId = keyof typeof DIFFICULTIES;
export const ANY = "any";

export const isDifficulty = (id: string): id is DifficultyId => Object.hasOwn(DIFFICULTIES, id);
