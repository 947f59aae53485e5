import { expect, test } from "vitest";
import { decibans, predictive, rateMeans, rateShare, snapshot, weighWithProbe } from "./belief.js";
import { rankedChances, readingDensity } from "./chances.js";
import {
  logEvidence,
  truncated,
  weighDense,
  type DenseCause,
  type DenseModel,
  type DenseStep,
} from "./dense.js";
import { logBeta, logGamma, rateNodes } from "./halfline.js";
import { bits, information, sequenceEntropy } from "./information.js";
import { logUnlisted } from "./unlisted.js";

const soft = (id: string, p: number, a = 1, b = 1, hard = 0, signature = [1]): DenseCause => ({
  id,
  odds: p / (1 - p),
  hard,
  a,
  b,
  signature,
});
const model = (causes: DenseCause[], more: Partial<DenseModel> = {}): DenseModel => ({
  stages: 1,
  leak: { chance: 0, signature: [1] },
  nothing: 0.1,
  unlisted: 0.02,
  maxCauses: 2,
  causes,
  ...more,
});
const starts = (exposures: number[], failed: number, clean: number, setup = "x"): DenseStep => ({
  kind: "starts",
  exposures,
  trust: 1,
  setup,
  seen: [
    { outcomes: [0], n: failed },
    { outcomes: [1], n: clean },
  ].filter((x) => x.n > 0),
});

test("ln Γ: half, ten and a thousandth (A&S ch. 6, recomputed)", () => {
  expect(logGamma(0.5)).toBeCloseTo(0.572364942924700087, 14);
  expect(logGamma(10)).toBeCloseTo(12.8018274800814696, 13);
  expect(logGamma(0.001)).toBeCloseTo(6.90717888538385368, 13);
});

test.each([
  [0.5, 2],
  [1, 1],
  [2, 8],
  [0.05, 0.05],
  [30, 4],
])("the dense rule for Beta(%d, %d) has mass 1 and the closed-form moments", (a, b) => {
  const nodes = rateNodes({ hard: 0, a, b }, 1 / 40, -300);
  const mean = (f: (x: (typeof nodes)[number]) => number) =>
    nodes.reduce((sum, x) => sum + Math.exp(x.logWeight) * f(x), 0);
  expect(mean(() => 1)).toBeCloseTo(1, 13);
  expect(mean((x) => x.r)).toBeCloseTo(a / (a + b), 13);
  expect(mean((x) => Math.exp(200 * x.logRest)) / Math.exp(logBeta(a, b + 200) - logBeta(a, b))).toBeCloseTo(
    1,
    11,
  );
  expect(mean((x) => Math.exp(0.3 * x.logRest)) / Math.exp(logBeta(a, b + 0.3) - logBeta(a, b))).toBeCloseTo(
    1,
    12,
  );
});

test("the lower part of Beta(2, 3) has the tabulated mass: I_.5(2,3) = 11/16", () => {
  const mass = rateNodes({ hard: 0, a: 2, b: 3 }, 1 / 40, -300, { upTo: 0.5 }).reduce(
    (s, x) => s + Math.exp(x.logWeight),
    0,
  );
  expect(mass).toBeCloseTo(11 / 16, 13);
});

test("two showing causes: the earlier stage wins", () => {
  // P(later than 0) = (1 − .5·.2)(1 − .4·1) = .9·.6 = .54; then both done: .5·.6 = .3
  const chances = rankedChances(
    [
      { show: 0.5, rest: 0.5, signature: [0.2, 0.8] },
      { show: 0.4, rest: 0.6, signature: [1, 0] },
    ],
    2,
  );
  [0.46, 0.24, 0.3].forEach((p, o) => expect(chances[o]).toBeCloseTo(p, 15));
});

test("a cause that is sure to show at a stage leaves exactly nothing for a later one", () => {
  const sure = { show: 1, rest: 0, signature: [1 / 3, 2 / 3, 0] };
  const leak = { show: 0.1, rest: 0.9, signature: [0, 0, 1] };
  expect(rankedChances([sure, leak], 3).slice(2)).toEqual([0, 0]);
});

test("one cause under Beta(a, b) weighs as the beta–binomial sequence", () => {
  const m = model([soft("c", 0.3, 0.7, 2.2)], { maxCauses: 1 });
  const table = weighDense(m, [starts([1], 3, 9)]);
  const ratio = table.sets[1]!.logMass[1]![1]! - table.sets[1]!.logMass[0]![1]!;
  expect(ratio).toBeCloseTo(logBeta(3.7, 11.2) - logBeta(0.7, 2.2), 12);
});

test("a hard share adds h for an all-failed record and nothing for a mixed one", () => {
  const m = model([soft("c", 0.3, 1, 1, 0.25)], { maxCauses: 1 });
  const one = weighDense(m, [starts([1], 4, 0)]).sets[1]!;
  expect(Math.exp(one.logMass[1]![1]! - one.logMass[0]![1]!)).toBeCloseTo(0.25 + 0.75 / 5, 13);
  expect(rateShare(weighDense(m, [starts([1], 4, 0)]), 0, "hard")).toBeCloseTo(0.25 / 0.4, 12);
  expect(rateShare(weighDense(m, [starts([1], 4, 1)]), 0, "hard")).toBe(0);
  expect(rateMeans(weighWithProbe(m, [starts([1], 4, 0)], [1]))[0]).toBeCloseTo((0.25 + 0.75 / 6) / 0.4, 12);
});

test("three clean starts do not clear an intermittent suspect: Beta(1, 1) leaves a factor 1/4", () => {
  const m = model([soft("c", 0.3)], { maxCauses: 1, nothing: 0.5, unlisted: 1e-12 });
  const now = snapshot(weighDense(m, [starts([1], 0, 3)]), 1, [1]);
  expect(now.present[0]! / now.none).toBeCloseTo(0.25, 9);
});

test("intermittent candidates with uniform rates integrate to 5/72, 1/72 and 19/432 (check of de Kleer 2009's likelihoods; recomputed)", () => {
  const causes = ["c1", "c2", "c3"].map((id) => soft(id, 0.1));
  const m = model(causes, { maxCauses: 3 });
  const runs = [
    [1, 1, 0],
    [0, 1, 1],
    [1, 0, 0],
    [1, 0, 1],
  ];
  const table = weighDense(
    m,
    runs.map((e, k) => starts(e, k < 3 ? 1 : 0, k < 3 ? 0 : 1)),
  );
  const gain = (set: string) => {
    const x = table.sets.find((y) => y.causes.join() === set)!;
    const full = x.logMass[0]!.length - 1;
    return Math.exp(x.logMass[4]![full]! - x.logMass[0]![full]!);
  };
  expect(gain("0,1")).toBeCloseTo(5 / 72, 12);
  expect(gain("0,2")).toBeCloseTo(1 / 72, 12);
  expect(gain("0,1,2")).toBeCloseTo(19 / 432, 12);
  expect(["", "0", "1", "2", "1,2"].map(gain)).toEqual([0, 0, 0, 0, 0]);
});

test("a repair of efficacy η splits the mass η to 1 − η and carries the rate along", () => {
  const m = model([soft("c", 0.3)], { maxCauses: 1, unlisted: 1e-9 });
  const steps = [starts([1], 1, 0), { kind: "repair" as const, clears: [0.8] }, starts([1], 0, 2)];
  const { logMass } = weighDense(m, steps).sets[1]!;
  const prior = logMass[0]![1]!;
  // ∫ r dr = 1/2 cured, and the rest ∫ r (1 − r)² dr = 1/12
  expect(Math.exp(logMass[3]![0]! - prior)).toBeCloseTo(0.8 / 2, 13);
  expect(Math.exp(logMass[3]![1]! - prior)).toBeCloseTo(0.2 / 12, 13);
});

test("what two repairs leave is in proportion to what each lets through, however a finding comes between", () => {
  const m = model([soft("c", 0.3)], { maxCauses: 1 });
  const finding: DenseStep = { kind: "finding", phi: [null], base: [0.2], value: 0, values: 2 };
  const repair: DenseStep = { kind: "repair", clears: [0.9] };
  const { logMass } = weighDense(m, [repair, starts([0], 0, 2), repair, finding, finding]).sets[1]!;
  const [cured, left] = logMass[5]!.map((x) => Math.exp(x - logMass[0]![1]!));
  // the finding has 0.2 either way, twice
  expect(cured).toBeCloseTo(0.99 * 0.04, 14);
  expect(left).toBeCloseTo(0.01 * 0.04, 14);
});

test("the share of sets is in proportion to their odds, and the truncated mass is what is left out", () => {
  const m = model([soft("a", 0.5), soft("b", 0.2), soft("c", 0.2)], { maxCauses: 1 });
  const { sets } = snapshot(weighDense(m, []), 0, [1, 1, 1]);
  // odds 1, 1/4, 1/4: sum 3/2; pairs 1/4 + 1/4 + 1/16; triple 1/16
  expect(sets.map((x) => x.p)).toEqual(
    [0.1, 0.88 / 1.5, 0.88 / 6, 0.88 / 6].map((p) => expect.closeTo(p, 14)),
  );
  expect(truncated(m)).toBeCloseTo((0.88 * 0.625) / 2.125, 14);
});

test("an empty list keeps nothing wrong and unlisted in the ratio ν : u", () => {
  const now = snapshot(weighDense(model([]), []), 0, []);
  expect([now.none, now.unlisted]).toEqual([expect.closeTo(10 / 12, 14), expect.closeTo(2 / 12, 14)]);
});

test("unlisted: one start in each of two setups, by hand", () => {
  // two outcomes, concentration ½ each: P(0) = ½; P(0, 0) = ½ · (3/2)/2 = 3/8 together, ½ · ½ = ¼ apart
  const seen = (setup: string) => ({ outcomes: [0], n: 1, trust: 1, setup });
  expect(Math.exp(logUnlisted([seen("x"), seen("y")], 1))).toBeCloseTo((3 / 8 + 1 / 4) / 2, 14);
  expect(Math.exp(logUnlisted([seen("x"), seen("x")], 1))).toBeCloseTo(3 / 8, 14);
  // a start of which nothing is known says nothing
  expect(Math.exp(logUnlisted([{ outcomes: [0, 1], n: 3, trust: 1, setup: "x" }], 1))).toBeCloseTo(1, 13);
});

test("unlisted: a tempered set counts as its tempered number, over all the ways that may split", () => {
  const set = (n: number, trust: number) => ({ outcomes: [0, 1], n, trust, setup: "x" });
  const told = { outcomes: [1], n: 3, trust: 0.5, setup: "x" };
  // ten starts at a half are five whole ones
  expect(logUnlisted([told, set(10, 0.5)], 2)).toBeCloseTo(logUnlisted([told, set(5, 1)], 2), 12);
  // and what may have been anything says nothing
  expect(logUnlisted([told, { ...set(7, 0.3), outcomes: [0, 1, 2] }], 2)).toBeCloseTo(
    logUnlisted([told], 2),
    12,
  );
});

test("unlisted: nested tempered sets, against the sum over an odd start's ways", () => {
  const seen = [
    { outcomes: [0, 1], n: 3, trust: 0.4, setup: "x" },
    { outcomes: [0, 1, 2], n: 5, trust: 0.3, setup: "x" },
    { outcomes: [3], n: 2, trust: 0.5, setup: "y" },
  ];
  const whole = (o: number) =>
    Math.exp(logUnlisted([...seen, { outcomes: [o], n: 1, trust: 1, setup: "x" }], 3));
  expect(whole(0) + whole(1) + whole(2) + whole(3)).toBeCloseTo(Math.exp(logUnlisted(seen, 3)), 12);
});

test("a reading: the farthest of the shifts that show gives the density", () => {
  const tool = { healthy: { m: 5, s: 0.1 }, slip: 0, range: [0, 10] as const };
  const shifts = [
    { m: 4, s: 0.2, d: 0.5 },
    { m: 4.5, s: 0.3, d: 0.25 },
  ];
  const n = (m: number, s: number) => Math.exp(-0.5 * ((4.4 - m) / s) ** 2) / s / Math.sqrt(2 * Math.PI);
  expect(readingDensity(4.4, tool, shifts)).toBeCloseTo(
    0.5 * n(4, 0.2) + 0.5 * 0.25 * n(4.5, 0.3) + 0.375 * n(5, 0.1),
    14,
  );
});

test("the ledger of an entry is the change of the posterior odds in decibans", () => {
  const m = model([soft("a", 0.3), soft("b", 0.2, 2, 5)], { leak: { chance: 0.01, signature: [1] } });
  const table = weighDense(m, [starts([1, 0.4], 2, 3), starts([0, 1], 0, 2, "y")]);
  const odds = (t: number) => {
    const p = snapshot(table, t, [1, 1]).present[0]!;
    return 10 * Math.log10(p / (1 - p));
  };
  expect(decibans(table, 1, 2, (f) => f !== "unlisted" && f.includes(0))).toBeCloseTo(odds(2) - odds(1), 9);
});

test("predictive chances add up to 1 and are the ratio of evidences", () => {
  const m = model([soft("a", 0.3, 0.5, 2, 0.1), soft("b", 0.2, 2, 5)], {
    leak: { chance: 0.01, signature: [1] },
  });
  const past = [starts([1, 0.4], 2, 3)];
  const next = predictive(weighWithProbe(m, past, [1, 1]), "x");
  expect(next[0]! + next[1]!).toBeCloseTo(1, 13);
  const evidence = (steps: DenseStep[]) => logEvidence(weighDense(m, steps), steps.length);
  expect(next[0]).toBeCloseTo(Math.exp(evidence([...past, starts([1, 1], 1, 0)]) - evidence(past)), 13);
});

test("one test of a faulty-but-passing unit tells 0.3586 bit (MacKay, ch. 9, from memory; recomputed)", () => {
  const f = 0.15;
  const m = model([{ id: "faulty", odds: 1, fixed: 1 - f, signature: [1] }], {
    nothing: 0.9,
    unlisted: 1e-13,
    maxCauses: 1,
  });
  const look = { clears: [], exposures: [1], setup: "x", n: 1 };
  expect(information(m, [], look)).toBeCloseTo(0.3585724658, 9);
});

test("a noiseless answer tells one bit and an unrelated one nothing", () => {
  expect(
    bits([
      [0.5, 0],
      [0, 0.5],
    ]),
  ).toBe(1);
  expect(
    bits([
      [0.25, 0.25],
      [0.25, 0.25],
    ]),
  ).toBe(0);
});

test("the entropy of a sequence of two is that of one and then the next", () => {
  const m = model([soft("a", 0.3, 0.5, 2)], { maxCauses: 1, leak: { chance: 0.01, signature: [1] } });
  const [p, q] = predictive(weighWithProbe(m, [], [1]), "x") as [number, number];
  const h = (x: number[]) => -x.reduce((sum, y) => sum + y * Math.log2(y), 0);
  const then = (o: number) =>
    h(predictive(weighWithProbe(m, [o ? starts([1], 0, 1) : starts([1], 1, 0)], [1]), "x"));
  expect(sequenceEntropy(m, [], [1], "x", 2)).toBeCloseTo(h([p, q]) + p * then(0) + q * then(1), 12);
});

test("the posterior of a rate agrees with the incomplete beta it must be: I_.2(4, 12)", () => {
  const m = model([soft("c", 0.3, 1, 3)], { maxCauses: 1 });
  // I_.2(4, 12) = P(Binomial(15, .2) ≥ 4), by its finite sum
  let below = 0;
  for (let k = 0; k < 4; k++)
    below += Math.exp(logGamma(16) - logGamma(k + 1) - logGamma(16 - k)) * 0.2 ** k * 0.8 ** (15 - k);
  expect(rateShare(weighDense(m, [starts([1], 3, 9)]), 0, { upTo: 0.2 })).toBeCloseTo(1 - below, 11);
});
