import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { asking, step, type State } from "../../engine/belief/fold.js";
import { groupsOf } from "../../engine/belief/moments.js";
import { atomsOf, entropyOf, targetEntropy, type Target } from "../../engine/plan/atoms.js";
import { CleanRuns, FirstStops, LARGER, STOPPING } from "../../engine/plan/batches.js";
import { candidatesOf } from "../../engine/plan/candidates.js";
import { StartsInformation } from "../../engine/plan/information.js";
import type { StartsPlan } from "../../engine/plan/leafSums.js";
import { Runs } from "../../engine/plan/runs.js";
import { exposuresAsked } from "../../engine/plan/asked.js";
import { isStarts, planOf, type StartsCandidate } from "../../engine/plan/starts.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { simpleTicket } from "../oracle/simple.js";
import { smallTicket } from "../oracle/tickets.js";
import { after } from "./state.js";

const TARGETS: Target[] = ["active", "root"];
const AS_IT_IS: StartsCandidate = { kind: "starts", change: null, repair: null, conditions: {} };
/** Sums of some hundred terms, differences of up to twelve. */
const WITHIN = 1e-11;

function batches(state: State, target: Target = "active") {
  const atoms = atomsOf(state.belief, target);
  const runs = new Runs(state.belief);
  return {
    clean: new CleanRuns(state.belief, target, atoms, runs),
    stops: new FirstStops(state.belief, target, atoms, runs),
  };
}

function somePlans(ticket: Ticket, state: State, most = 5): StartsPlan[] {
  const all = candidatesOf(state, ticket.entries).filter(isStarts);
  const every = Math.max(1, Math.floor(all.length / most));
  return all.filter((_, k) => k % every === 0).map((c) => planOf(state, c));
}

const law = (holds: (ticket: Ticket, state: State) => void, seed: number, numRuns = 25) =>
  fc.assert(
    fc.property(smallTicket, (ticket) => {
      const end = after(ticket);
      holds(ticket, asking(end, exposuresAsked(end, ticket.entries)));
    }),
    { seed, numRuns, endOnFailure: true },
  );

describe("on any small ticket", () => {
  test("the number of clean starts tells what it tells when the counts are enumerated", () => {
    let most = 0;
    law((ticket, state) => {
      for (const target of TARGETS) {
        const { clean } = batches(state, target);
        for (const plan of somePlans(ticket, state))
          for (const { n, bits } of clean.of(plan).counted.slice(0, 3)) {
            const counted = new StartsInformation(state.belief, n, target, undefined, "clean");
            expect(Math.abs(bits - counted.of(plan).bits)).toBeLessThan(WITHIN);
            most = Math.max(most, bits);
          }
      }
    }, 61);
    expect(most).toBeGreaterThan(0.1);
  });

  test("a row that ends at its first stop tells more the longer it is, the stages add to it, and all is not more than there is", () => {
    let added = 0;
    law((ticket, state) => {
      for (const target of TARGETS) {
        const { clean, stops } = batches(state, target);
        const all = targetEntropy(state.belief, target);
        for (const plan of somePlans(ticket, state)) {
          const bounds = clean.of(plan).stopping;
          stops.of(plan).forEach(({ n, bits, starts }, q, full) => {
            expect(bits).toBeGreaterThanOrEqual((full[q - 1]?.bits ?? 0) - WITHIN);
            expect(bits).toBeGreaterThanOrEqual(bounds[q]!.bits - WITHIN);
            expect(bits).toBeLessThanOrEqual(all + WITHIN);
            expect(starts).toBeLessThanOrEqual(n + WITHIN);
            expect(Math.abs(starts - bounds[q]!.starts)).toBeLessThan(WITHIN);
            added = Math.max(added, bits - bounds[q]!.bits);
          });
        }
      }
    }, 62);
    expect(added).toBeGreaterThan(0.01);
  });

  test("it tells what the entropies of the beliefs after each ending say", () => {
    const entropy = ({ belief }: State) =>
      entropyOf([...groupsOf(belief).map((group) => group.mass), belief.unlistedMass]);
    const followed = (state: State, outcomes: string[]) =>
      outcomes.reduce((past, outcome, k) => {
        return step(past, { kind: "starts", id: `x${k}`, trials: [{ outcome }] });
      }, state);
    law(
      (ticket, state) => {
        const { outcomeIds } = state.belief.model;
        const told = batches(state)
          .stops.of(planOf(state, AS_IT_IS))
          .find(({ n }) => n === 2)!;
        const endings = [...outcomeIds.slice(0, -1).map((s) => [s]), ...outcomeIds.map((s) => ["clean", s])];
        const left = endings.reduce((sum, ending) => {
          const then = followed(state, ending);
          const p = Math.exp(then.belief.logEvidence - state.belief.logEvidence);
          return p > 0 ? sum + p * entropy(then) : sum;
        }, 0);
        expect(Math.abs(told.bits - (entropy(state) - left))).toBeLessThan(1e-8);
      },
      63,
      15,
    );
  });
});

test("of one cause of a known rate: whether it stops at all, in fewer starts than counting would take", () => {
  const rate = 0.3;
  const state = after(
    simpleTicket({
      causes: [{ id: "a", p: 0.5, rate: { fixed: rate } }],
      nothing: 0.5,
      unlisted: 0,
      maxCauses: 1,
    }),
  );
  const h = (p: number) => -p * Math.log2(p) - (1 - p) * Math.log2(1 - p);
  const { clean, stops } = batches(state);
  const plan = planOf(state, AS_IT_IS);
  for (const { n, bits, starts } of stops.of(plan)) {
    const quiet = 0.7 ** n;
    expect(bits).toBeCloseTo(h((1 + quiet) / 2) - 0.5 * h(quiet), 12);
    // half of the machines run all n; the others (1 − (1 − r)^n) / r on average
    expect(starts).toBeCloseTo(0.5 * n + (0.5 * (1 - quiet)) / rate, 12);
  }
  expect(clean.of(plan).stopping.map((x) => x.n)).toEqual(STOPPING);
  expect(clean.of(plan).counted.map((x) => x.n)).toEqual(LARGER);
});
