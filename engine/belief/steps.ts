/**
 * Steps: what entries do to a belief, in the few forms the mathematics knows.
 *
 * An entry becomes steps once, knowing the setup that holds at its place; the fold then needs no catalog.
 */

/** Starts with one likelihood: outcomes of one setup, or a set of outcomes, with an exponent. */
export interface TrialRow {
  /** 1 for each outcome it may have been; length S + 1 */
  wanted: Uint8Array;
  /** number of starts */
  n: number;
}

export interface TrialsStep {
  kind: "trials";
  /** exposure of each cause in this setup; length C */
  exposure: Float64Array;
  rows: TrialRow[];
  /** likelihood of each start is raised to this, in (0, 1] */
  trust: number;
  /** what `unlisted` takes for a setup */
  key: string;
}

/** Each active cause leaves with its own chance: a repair, or the reseating that a move implies. */
export interface LeaveStep {
  kind: "leave";
  /** η of each cause; length C */
  efficacy: Float64Array;
}

/** Evidence with no latent rate: a finding or a reading. */
export interface LookStep {
  kind: "look";
  /** ln P(seen | exactly these causes, of those tied to what was looked at, are active), up to a common factor for all */
  logLikelihood(active: readonly number[]): number;
  /** causes that take part; 1 for each; length C */
  tied: Uint8Array;
  logUnlisted: number;
}

export type Step = TrialsStep | LeaveStep | LookStep;
