/** The strategies by id, in the order in which they are shown. */
import type { Strategy } from "../strategy.js";
import { checklist } from "./checklist.js";
import { carefulElimination, elimination } from "./elimination.js";
import { information } from "./information.js";
import { likeliest } from "./likeliest.js";
import { planner } from "./planner.js";

export const STRATEGIES: readonly Strategy[] = [
  elimination,
  carefulElimination,
  likeliest,
  checklist,
  information,
  planner,
];
