/**
 * What each cause depends on, and how much a start in some setup exercises it: for drawings, not for weighing.
 */
import { expand, templatesOf, type Cause } from "../catalog/expand.js";
import { questionsOf } from "../catalog/exposure.js";
import type { Catalog, CauseTemplate } from "../catalog/schema.js";
import type { Ticket } from "./schema.js";
import { conditionMinutes, exposureOf, type Bench, type Setup } from "./setup.js";

export interface Dependence {
  cause: string;
  /** exposure of one start in the setup, under the conditions; 0: it cannot show there */
  exposure: number;
  /** positions and settings that its exposure asks about, or that reseat it; what it is tied to itself is not repeated */
  positions: string[];
  settings: string[];
  /** conditions that change its exposure in this setup */
  conditions: string[];
}

type Conditions = Record<string, string | number>;

/** Expands once; ask as often as the setup or the conditions change. */
export function dependencesOf(catalog: Catalog, ticket: Ticket) {
  const { causes } = expand(catalog, ticket);
  const asked = new Map(templatesOf(catalog, ticket).map((t) => [t.id, askedBy(t, catalog)]));
  const bench = { catalog, ticket };
  return (setup: Setup, conditions: Conditions): Dependence[] =>
    causes.map((cause) => ({
      cause: cause.id,
      exposure: exposureUnder(cause, setup, conditions, bench),
      ...asked.get(cause.template)!,
      conditions: conditionsOf(cause, setup, conditions, bench),
    }));
}

const exposureUnder = (cause: Cause, setup: Setup, conditions: Conditions, bench: Bench) =>
  exposureOf(
    cause,
    setup,
    conditionMinutes(bench.catalog, bench.ticket.machine.conditions, conditions),
    bench,
  );

function askedBy(template: CauseTemplate, catalog: Catalog): Pick<Dependence, "positions" | "settings"> {
  const questions = questionsOf(template.exposure ?? 1);
  const accepting = (kind: string) => catalog.positions.filter((p) => p.accepts === kind).map((p) => p.id);
  const positions = questions.flatMap(([ask, name]) =>
    ask === "filled" || ask === "at" ? [name!] : ask === "count" ? accepting(name!) : [],
  );
  const settings = (catalog.settings ?? []).filter(
    ({ id, touches }) =>
      touches?.includes(template.id) || questions.some(([ask, name]) => ask === "is" && name === id),
  );
  return { positions: [...new Set(positions)], settings: settings.map(({ id }) => id) };
}

/** Conditions of which another class would make another exposure. */
function conditionsOf(cause: Cause, setup: Setup, conditions: Conditions, bench: Bench): string[] {
  const now = exposureUnder(cause, setup, conditions, bench);
  return (bench.catalog.conditions ?? [])
    .filter(({ id, classes }) =>
      classes.some((c) => exposureUnder(cause, setup, { ...conditions, [id]: c.id }, bench) !== now),
    )
    .map(({ id }) => id);
}
