/**
 * Figures: numbers that say where they come from.
 *
 * A catalog may write a figure as a bare number or as `{ value, source }`. The catalogs in `priors/` always use the
 * long form; a test fails on one that does not.
 */
import { z } from "zod";

const source = z
  .string()
  .min(1)
  .optional()
  .describe(
    'where the figure comes from: a reference, "common practice, no source", "judgement" or "from memory"',
  );

/** A figure whose value obeys `value`. */
const figureOf = <T extends z.ZodType<number>>(value: T) =>
  z.union([
    value,
    z.strictObject({ value, unit: z.string().optional(), source, note: z.string().optional() }),
  ]);

const probability = z.number().min(0).max(1);

/** A chance, known well enough to be used as it stands. */
export const Chance = figureOf(probability).describe("a chance in [0, 1]");

/** Minutes of bench time. */
export const Minutes = figureOf(z.number().min(0)).describe("minutes, 0 or more");

/** Money in the shop's currency. */
export const Money = figureOf(z.number().min(0)).describe("money in the shop's currency, 0 or more");

/** A real number in a unit stated elsewhere, such as a voltage. */
export const Quantity = figureOf(z.number());

/** A positive number, such as a standard deviation. */
export const Positive = figureOf(z.number().positive());

/**
 * A chance with its uncertainty: Beta(value × knowledge, (1 − value) × knowledge), or alpha and beta themselves.
 * Without `knowledge` the chance is taken as known exactly.
 */
export const BetaChance = z
  .union([
    probability,
    z.strictObject({
      value: probability,
      knowledge: z
        .number()
        .positive()
        .optional()
        .describe("how many cases' worth of knowledge: alpha + beta"),
      unit: z.string().optional(),
      source,
      note: z.string().optional(),
    }),
    z.strictObject({
      alpha: z.number().positive(),
      beta: z.number().positive(),
      source,
      note: z.string().optional(),
    }),
  ])
  .describe("a chance with its uncertainty (Beta)");

/** A factor with its uncertainty: a Gamma of mean `value` with `knowledge` cases' worth behind it. */
export const Weight = z
  .union([
    z.number().positive(),
    z.strictObject({
      value: z.number().positive(),
      knowledge: z.number().positive().optional().describe("how many cases' worth of knowledge: alpha"),
      source,
      note: z.string().optional(),
    }),
  ])
  .describe("a factor with its uncertainty (Gamma)");

export const RATE_UNITS = ["1/year", "%/year", "FIT", "1/h"] as const;

/**
 * An annual failure rate with its uncertainty: Gamma(shape = failures, rate = unitYears), or a mean with
 * `knowledge` failures' worth behind it. Without `knowledge` the rate is taken as known exactly.
 */
export const Rate = z
  .union([
    z.number().min(0),
    z.strictObject({
      value: z.number().min(0),
      unit: z.enum(RATE_UNITS).optional().describe("default 1/year; 1 FIT = 1 failure in 10^9 device-hours"),
      knowledge: z.number().positive().optional().describe("how many failures' worth of knowledge: alpha"),
      source,
      note: z.string().optional(),
    }),
    z.strictObject({
      failures: z.number().positive().describe("alpha of the Gamma"),
      unitYears: z.number().positive().describe("beta of the Gamma, in unit-years"),
      source,
      note: z.string().optional(),
    }),
  ])
  .describe("failures in a unit-year with their uncertainty (Gamma)");

export type Figure = z.infer<typeof Quantity>;

export { numberOf } from "./number.js";

/** A Beta distribution; `spread` false where the chance is taken as exact. */
export interface BetaPrior {
  mean: number;
  alpha: number;
  beta: number;
  spread: boolean;
}

/** A Gamma distribution over failures per unit-year; `spread` false where the rate is taken as exact. */
export interface GammaPrior {
  mean: number;
  alpha: number;
  beta: number;
  spread: boolean;
}

const exact = (mean: number) => ({ mean, alpha: NaN, beta: NaN, spread: false });

/** Beta(α, β) of a chance; α and β are NaN where it is exact. */
export function betaPrior(figure: z.infer<typeof BetaChance>): BetaPrior {
  if (typeof figure === "number") return exact(figure);
  if ("alpha" in figure) {
    const { alpha, beta } = figure;
    return { mean: alpha / (alpha + beta), alpha, beta, spread: true };
  }
  const { value, knowledge } = figure;
  if (knowledge === undefined || value === 0 || value === 1) return exact(value);
  return { mean: value, alpha: value * knowledge, beta: (1 - value) * knowledge, spread: true };
}

const HOURS_A_YEAR = 8760;
const PER_YEAR: Record<(typeof RATE_UNITS)[number], number> = {
  "1/year": 1,
  "%/year": 0.01,
  FIT: HOURS_A_YEAR * 1e-9,
  "1/h": HOURS_A_YEAR,
};

/** Gamma(α, β) of a rate, in failures per unit-year; α and β are NaN where it is exact. */
export function gammaPrior(figure: z.infer<typeof Rate>): GammaPrior {
  if (typeof figure === "number") return exact(figure);
  if ("failures" in figure) {
    const { failures: alpha, unitYears: beta } = figure;
    return { mean: alpha / beta, alpha, beta, spread: true };
  }
  const mean = figure.value * PER_YEAR[figure.unit ?? "1/year"];
  const { knowledge } = figure;
  if (knowledge === undefined || mean === 0) return exact(mean);
  return { mean, alpha: knowledge, beta: knowledge / mean, spread: true };
}
