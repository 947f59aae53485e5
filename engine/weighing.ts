/**
 * What weighing a ticket gives: the one shape that the command prints with --json and that the pages draw.
 *
 * Plain data, safe to post between threads. Probabilities in [0, 1]; a figure that is undefined is null, never NaN.
 */
export const WEIGHING_FORMAT = "fitful/weighing@1";

/** A probability with the 5 % and 95 % points over redraws of how well the rates are known. */
export interface Interval {
  p: number;
  /** null when no redraws were asked for */
  low: number | null;
  high: number | null;
}

export interface RateView {
  mean: number;
  low: number;
  high: number;
  /** P(r = 1), a hard fault */
  hard: number;
  /** P(r in the k-th of forty equal steps from 0 to 1), the hard point apart; null where presence is under 1 % */
  density: number[] | null;
  /** the same before the record */
  densityBefore: number[] | null;
}

export interface CauseView {
  /** template@part, template@board.position, or template */
  id: string;
  name: string;
  template: string;
  group: string;
  /** ids of the parts it is tied to */
  parts: string[];
  position: string | null;
  /** its exposure in the setup as it now is, at the conditions a start has by default */
  exposure: number;
  /** P(it was a cause) before the record */
  prior: number;
  /** P(i ∈ F | record): was it a cause */
  present: Interval;
  /** P(i ∈ A | record): is it still at work in the machine as now fitted */
  atWork: Interval;
  /** P(i ∈ G | record) for a cause that is not fitted: bad if used; null while fitted */
  ifUsed: number | null;
  /** manifestation rate given that it was a cause: chance to show at one nominal trial */
  rate: RateView | null;
  /** 10·log10 of the posterior odds of presence; null at 0 or 1 */
  decibans: number | null;
}

export interface SetView {
  causes: string[];
  p: number;
}

export interface OutcomeChance {
  outcome: string;
  p: number;
}

/** What one entry did. */
export interface EntryView {
  id: string;
  kind: string;
  /** ln P(entry | past) */
  logEvidence: number;
  /** −log2 P(entry | past), bits; null for what has none (owner-reported starts have no expectation) */
  surprise: number | null;
  /** its expectation before the entry was seen, and the standard error where it was estimated */
  expected: number | null;
  expectedError: number | null;
  /** cause id → weight of evidence in decibans for presence; null where undefined */
  ledger: Record<string, number | null>;
  /** weight of evidence for `unlisted` and for nothing wrong */
  ledgerUnlisted: number | null;
  ledgerNone: number | null;
  /** belief after the entry */
  atWork: Record<string, number>;
  present: Record<string, number>;
  none: number;
  unlisted: number;
  nothingAtWork: number;
}

/** A setup in plain data. */
export interface SetupView {
  /** `own` or a donor's id */
  in: string;
  /** position → part id, null for empty */
  fit: Record<string, string | null>;
  settings: Record<string, string>;
  /** condition id → minutes */
  conditions: Record<string, number>;
}

export interface AnswerView {
  /** what is seen, in words, such as "stops at memory check" */
  text: string;
  /** outcome ids with counts for starts, or the value of a finding, or the reading */
  outcome: string;
  chance: number;
  /** the causes it moves most: P(at work) before and after */
  effects: { cause: string; before: number; after: number }[];
}

export interface TestView {
  id: string;
  kind: "starts" | "finding" | "reading" | "repair";
  /** a sentence a person would say */
  title: string;
  /** what has to be done first, in order, each with its minutes */
  steps: { text: string; minutes: number }[];
  /** entries to append before the starts: a change or a repair */
  change: { fit?: Record<string, string | null>; settings?: Record<string, string>; in?: string } | null;
  repair: { repair: string; on: string | null } | null;
  conditions: Record<string, string | number>;
  finding: { id: string; on: string | null } | null;
  reading: { id: string; on: string | null } | null;
  /** number of starts, or the most of them; 1 for findings and readings */
  n: number;
  /** the row of starts ends at its first stop */
  stopEarly: boolean;
  /** labour minutes from the arrangement now on the bench; expected, where the row may end early */
  minutes: number;
  /** money: parts and chance of damage × its cost */
  money: number;
  /** minutes with money counted at the labour rate: what the ranking divides by */
  minutesWithMoney: number;
  bits: number;
  /** standard error of `bits` where it was estimated, else 0 */
  bitsError: number;
  /** the bits are those of the number of clean starts alone: the stages can only add to them */
  atLeast: boolean;
  bitsPerMinute: number;
  answers: AnswerView[];
  cautions: { text: string; danger: boolean }[];
  /** why it is not first, null for the first */
  whyNot: string | null;
  /** the numbers of starts that were weighed; `bound`: by their clean starts alone, which is at most what they tell */
  sizes: {
    n: number;
    stopEarly: boolean;
    bits: number;
    bitsError: number;
    minutes: number;
    bitsPerMinute: number;
    bound: boolean;
  }[];
}

/** Something that can be done next, with the expected money from here to the end if it is. */
export interface OptionView {
  kind: "test" | "repair" | "replace" | "release" | "return";
  /** a sentence a person would say */
  title: string;
  /** what names it among the tests, where it is one of them; null for release and return */
  test: string | null;
  /** starts at most, in a row that ends at its first stop; 0 for release and return */
  n: number;
  cost: number;
}

/** A repair, or a part put in for good, in the order that finishing without tests would take. */
export interface FixView {
  title: string;
  test: string;
  /** minutes and money of the fix itself */
  minutes: number;
  money: number;
  cautions: { text: string; danger: boolean }[];
}

/** What to do next by money, and what the whole will cost from here; money in the shop's currency. */
export interface FinishView {
  advice: OptionView;
  /** the best of another kind or another candidate, and what it would cost more */
  runnerUp: OptionView | null;
  margin: number;
  /** the margin is too small a share of the cost to be a reason */
  asGood: boolean;
  /** the best few, and always release, return and the first repair */
  options: OptionView[];
  /** starts that prove each of them, in a row that ends at its first stop */
  repairs: FixView[];
  proof: number;
  prices: { minute: number; comeback: number; giveBack: number };
}

export interface Advice {
  target: "active" | "root";
  /** entropy of the target now, bits */
  entropy: number;
  /** best first; after the best forty, those of the others that `finish` names, last its options that are none of these */
  tests: TestView[];
  /** candidates beyond the 240 that are weighed: arrangements, named last */
  dropped: number;
  finish: FinishView;
}

/** Clean starts made in one arrangement, and what they would do to the chance of a comeback. */
export interface ProvingView {
  /** a sentence a person would say */
  title: string;
  /** what has to be changed first */
  change: TestView["change"];
  /** condition id → class id, those that differ from what holds by default */
  conditions: Record<string, string>;
  /** smallest number of clean starts after which the chance is within the limit; null where 500 would not do */
  needed: number | null;
  /** labour minutes for so many, the way there and back included; null where `needed` is */
  minutes: number | null;
  /** P(comeback | n further starts here, all clean), n rising from 0 to 500 */
  curve: { n: number; comeback: number }[];
}

/** Is it fixed? */
export interface ReleaseView {
  /** P(nothing on the list is at work in the machine as now fitted) */
  nothingAtWork: number;
  /** P(at least one failed start at the owner's in the days that count), as things stand */
  comeback: number;
  /** starts a day at the owner's, and under which conditions (condition id → class id) */
  use: { conditions: Record<string, string>; perDay: number }[];
  days: number;
  /** the chance of a comeback that the shop will take */
  limit: number;
  /** the setup at the owner's */
  setup: SetupView;
  /** clean starts as it is now on the bench */
  here: ProvingView;
  /** clean starts where fewer are needed than here; null where there is no such place */
  best: ProvingView | null;
}

/** A prior that matters. */
export interface SensitivityMove {
  /** cause id, `none` or `unlisted` */
  prior: string;
  /** what its odds are multiplied by: the view's factor or one over it */
  factor: number;
  /** what leads then, and its chance beside that of what leads now */
  leading: string;
  p: number;
  former: number;
  /** id of the test that would then tell most by the minute; null where that is the same, or was not asked */
  test: string | null;
}

/** What if a prior is wrong? */
export interface SensitivityView {
  factor: number;
  /** what leads now: the cause (or `none`, `unlisted`) most likely to have been there when the machine came in */
  leading: string;
  p: number;
  /** id of the test that tells most by the minute by one start or look, of the ten leading ones; null without tests */
  test: string | null;
  /** moves of one prior that put another cause in front, or another test first */
  moves: SensitivityMove[];
}

export interface Warning {
  /** "unlisted", "conflict", "spread" … */
  code: string;
  text: string;
  entry: string | null;
}

export interface Weighing {
  format: typeof WEIGHING_FORMAT;
  /** with the currency of every sum of money (ISO 4217), where the ticket says one */
  ticket: { id: string; title: string; currency?: string };
  catalog: { id: string; version: string; name: string };
  maxCauses: number;
  /** prior mass that sets of more than `maxCauses` causes would have had */
  truncated: number;
  setup: SetupView;
  /** every cause, most likely at work first */
  causes: CauseView[];
  none: Interval;
  unlisted: Interval;
  /** P(nothing on the list is at work in the machine as now fitted); `unlisted` is not in it */
  nothingAtWork: number;
  /** leading sets of causes, the empty set and `unlisted` included by name */
  sets: SetView[];
  /** ln P(record) and the same in bits */
  logEvidence: number;
  evidenceBits: number;
  /** chances of the next start's outcomes in the setup as it now is */
  predictive: OutcomeChance[];
  entries: EntryView[];
  /** groups and causes that no entry says anything about yet (under 1 deciban either way) */
  notLookedAt: { group: string; causes: string[]; share: number }[];
  warnings: Warning[];
  next: Advice | null;
  /** null without advice */
  release: ReleaseView | null;
  /** null without advice */
  sensitivity: SensitivityView | null;
}

/** A fault in a file or a form: all of them are reported at once. */
export interface Issue {
  /** JSON path such as entries[3].value, or a line of the file */
  path: string;
  found: string;
  expected: string;
  message: string;
}
