/** How hard a practice machine is: which truths it may have. Light enough for a page that only names them. */

export interface Difficulty {
  name: string;
  /** faults at once that the page's belief considers */
  considers: 1 | 2;
  /** may this set of causes be the truth? */
  allows(causes: readonly number[], is: Kinds): boolean;
  /** the truth's rates lie between these */
  rates: readonly [number, number];
  /** chance at every start that a contact which touching has quieted is bad again; 0 where nothing is said */
  relapse?: number;
  /** the truth is of no one theme; a deal's is not looked at */
  anyTheme?: boolean;
}

/** What a cause may be, by its index. */
interface Kinds {
  /** of the machine itself, and shows at the owner's */
  own(i: number): boolean;
  /** of a spare */
  spare(i: number): boolean;
  /** touching may clear it, and something else mends it more surely */
  contact(i: number): boolean;
}

export const DIFFICULTIES = {
  plain: {
    name: "One fault that shows at most starts",
    considers: 1,
    allows: (causes, { own }) => causes.length === 1 && causes.every(own),
    rates: [0.5, 1],
  },
  fitful: {
    name: "One fault that comes and goes",
    considers: 1,
    allows: (causes, { own }) => causes.length === 1 && causes.every(own),
    rates: [0.08, 0.5],
  },
  relapse: {
    name: "One bad contact that touching cures only for a while",
    considers: 1,
    allows: (causes, { own, contact }) => causes.length === 1 && causes.every((i) => own(i) && contact(i)),
    rates: [0.25, 1],
    relapse: 0.15,
    anyTheme: true,
  },
  spare: {
    name: "One fault, and a spare on the shelf is bad",
    considers: 2,
    allows: (causes, { own, spare }) => causes.length === 2 && causes.some(own) && causes.some(spare),
    rates: [0.15, 1],
  },
  double: {
    name: "Two faults at once",
    considers: 2,
    allows: (causes, { own }) => causes.length === 2 && causes.every(own),
    rates: [0.15, 1],
  },
  open: {
    name: "Whatever comes in: nothing wrong, or something on no list, too",
    considers: 2,
    allows: () => true,
    rates: [0, 1],
    anyTheme: true,
  },
} satisfies Record<string, Difficulty>;

export type DifficultyId = keyof typeof DIFFICULTIES;
export const ANY = "any";

/** Is a theme asked about for machines of this difficulty? */
export const isThemed = (id: DifficultyId): boolean => (DIFFICULTIES[id] as Difficulty).anyTheme !== true;

export const isDifficulty = (id: string): id is DifficultyId => Object.hasOwn(DIFFICULTIES, id);
