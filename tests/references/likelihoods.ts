/** Likelihoods as the engine's own figures imply them: P(record | F) = P(F | record) P(record) / P(F). */
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Weighing } from "../../engine/weighing.js";
import { weighed } from "../belief/weighed.js";

export const chanceOfSet = (weighing: Weighing, causes: readonly string[]): number => {
  const name = causes.length === 0 ? "none" : [...causes].sort().join();
  return weighing.sets.find((x) => [...x.causes].sort().join() === name)?.p ?? 0;
};

/** ln P(record | exactly these causes were present). */
export function logLikelihood(ticket: Ticket, causes: readonly string[]): number {
  const before = weighed({ ...ticket, entries: [] });
  const after = weighed(ticket);
  return Math.log(chanceOfSet(after, causes)) + after.logEvidence - Math.log(chanceOfSet(before, causes));
}
