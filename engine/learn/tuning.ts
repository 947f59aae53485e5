/**
 * What tuning gives: the one shape that `fitful tune --json` prints and that the page draws. Plain data; probabilities in
 * [0, 1]; a figure that is undefined is null.
 */
import type { Catalog } from "../catalog/schema.js";
import type { Pass } from "./fit/fit.js";
import type { BrierParts } from "./score/brier.js";

export const TUNING_FORMAT = "fitful/tuning@1";

/** A figure with its 5 % and 95 % points. */
export interface Ranged {
  value: number;
  low: number;
  high: number;
}

/** One figure before and after. */
export interface ChangeView {
  /** cause, repair, `none` or `unlisted` */
  of: string;
  name: string;
  group: string;
  figure: "share" | "hard" | "rate" | "stages" | "event" | "minutes" | "cure" | "failures a year";
  /** the event, stage or cause that it is about */
  about: string | null;
  /** tickets, stops or repairs that it rests on, expected ones where unconfirmed tickets count in part */
  tickets: number;
  before: Ranged;
  after: Ranged;
}

export interface ScoresView {
  /** −log2 of the chance that the confirmed cause had, mean over tickets */
  bits: number;
  /** Σ over causes of (chance − 1 for the confirmed one)², mean over tickets, 0 to 2 */
  brier: number;
  /** of every pair of ticket and cause */
  parts: BrierParts;
  /** how often the confirmed cause ranked first, and among the first three; 95 % intervals */
  first: { p: number; low: number; high: number };
  firstThree: { p: number; low: number; high: number };
  /** reliability: chances said, how often it was so, with its 90 % interval */
  bins: { forecasts: number; forecast: number; happened: number; low: number; high: number }[];
}

export interface CalibrationView {
  how: "time" | "folds";
  /** confirmed tickets that were left out and asked about; each stands for `every` */
  tickets: number;
  every: number;
  before: ScoresView;
  after: ScoresView;
  /** bits a ticket that tuning gains, with its 95 % interval */
  gain: number;
  low: number;
  high: number;
  /** the interval lies above 0 */
  helps: boolean;
}

export interface TuningView {
  format: typeof TUNING_FORMAT;
  catalog: { id: string; version: string };
  tickets: number;
  confirmed: number;
  /** days of the first and the last ticket; null where none is told */
  first: string | null;
  last: string | null;
  /** what moved, most moved first */
  changes: ChangeView[];
  passes: Pass[];
  /** null where there is nothing to leave out: too few confirmed tickets, or a tally alone */
  calibration: CalibrationView | null;
  /** yes, no, or null where it could not be tested */
  recommended: boolean | null;
  verdict: string;
  warnings: string[];
  tuned: Catalog;
}
