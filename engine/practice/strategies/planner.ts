/**
 * Information per minute with cost to the end: what the engine advises, done to the letter.
 */
import { decide } from "../../plan/decide.js";
import { deciding, type Action, type Ending, type Known, type Strategy } from "../strategy.js";
import { handover, named, wayTo } from "./handover.js";
import { put } from "./moves.js";

function decision(known: Known): Action | Ending {
  const { kind, candidate, n } = decide(known.state, known.ticket);
  if (candidate) return { kind: "do", candidate, n, stopEarly: true };
  // whatever is out goes back in, and what was only tried goes back on the shelf
  const way = kind === "release" ? wayTo(handover(known), known) : null;
  if (way) return put(way);
  return { kind: kind === "return" ? "return" : "release", named: named(known) };
}

export const planner: Strategy = {
  id: "planner",
  name: "Information per minute with cost to the end",
  work: deciding(decision),
};
