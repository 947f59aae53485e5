/** The engine's planner as a policy: the record is folded, the planner asked, and its advice turned into moves. */
import { modelOf } from "../../../engine/belief/model.js";
import { asking, startState, step } from "../../../engine/belief/fold.js";
import type { Catalog } from "../../../engine/catalog/schema.js";
import { decide, type DecideOptions } from "../../../engine/plan/decide.js";
import { exposuresAsked } from "../../../engine/plan/asked.js";
import type { Policy } from "./evaluate.js";
import type { Problem } from "./problem.js";
import { movesOfCandidate } from "./record.js";
import { RELEASE, RETURN } from "./world.js";

/** @throws {Error} where the planner advises what the small world does not have */
export function planner({ ticket }: Problem, options: DecideOptions = {}): Policy {
  const model = modelOf(ticket.catalog as Catalog, ticket);
  const start = startState(model);
  return (node, record) => {
    const end = record.reduce(step, start);
    const state = asking(end, exposuresAsked(end, record));
    const advice = decide(state, { ...ticket, entries: [...record] }, options);
    if (advice.kind === "release") return { moves: [RELEASE], stopEarly: false };
    if (advice.kind === "return") return { moves: [RETURN], stopEarly: false };
    return { moves: movesOfCandidate(ticket, node, advice.candidate!, advice.n), stopEarly: true };
  };
}
