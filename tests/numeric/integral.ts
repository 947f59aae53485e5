/** Σ weight · f: what a rule makes of an integral. */
import type { Rule } from "../../engine/numeric/rule.js";

export const integralOf = (rule: Rule, f: (rate: number, rest: number) => number): number =>
  rule.weight.reduce((sum, w, k) => sum + w * f(rule.rate[k]!, rule.rest[k]!), 0);
