/** The model of a ticket that carries its catalog, and the state at the end of its record. */
import { startState, step, type State } from "../../engine/belief/fold.js";
import { modelOf, type Model } from "../../engine/belief/model.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { ticket } from "./small.js";

export const model = (of: Ticket = ticket()): Model => modelOf(of.catalog as Catalog, of);

export const after = (of: Ticket): State => of.entries.reduce(step, startState(model(of)));
