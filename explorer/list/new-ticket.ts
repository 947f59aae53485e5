/** From the intake form to a ticket. Pure: id and time are handed in. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { inSentence } from "../bench/format.js";
import { NO_SHOP, shopTerms, type Shop } from "../store/shop.js";
import { addSpare, CLEAN } from "../bench/ticket-edits.js";

export interface IntakeForm {
  /** empty: the name of its kind */
  title: string;
  owner: string;
  ageYears: number;
  complaint: string;
  /** event id → weeks before the complaint began */
  events: Record<string, number>;
  /** what the owner counted, or null */
  counted: { failed: number; of: number; outcome: string | null; conditions: Record<string, string> } | null;
  /** kinds of part of which a known-good spare lies at hand */
  spares: string[];
}

const WEEKS_A_YEAR = 365.25 / 7;

export function newTicket(
  form: IntakeForm,
  catalog: Catalog,
  id: string,
  at: string,
  shop: Shop = NO_SHOP,
): Ticket {
  const events = Object.entries(form.events).map(([event, weeks]) => ({
    event,
    yearsBefore: weeks / WEEKS_A_YEAR,
  }));
  const ticket: Ticket = {
    format: "fitful/ticket@1",
    id,
    title: form.title.trim() || catalog.name,
    ...(form.owner !== "" && { owner: form.owner }),
    catalog: catalog.id,
    machine: {
      ageYears: form.ageYears,
      parts: (catalog.machine?.parts ?? []).map((part) => ({ ...part })),
      ...(events.length > 0 && { events }),
    },
    ...shopTerms(shop, catalog),
    entries: [
      { kind: "intake", id: "e1", at, ...(form.complaint !== "" && { complaint: form.complaint }) },
      ...ownerCount(form, catalog, at),
    ],
  };
  const named = (kind: string) => catalog.parts.find((part) => part.id === kind)?.name ?? kind;
  return form.spares.reduce((t, kind) => addSpare(t, kind, `Spare ${inSentence(named(kind))}`), ticket);
}

/** "5 of 14 mornings": the owner's starts; where nobody saw the stop, any stage may have been it. */
function ownerCount({ counted }: IntakeForm, catalog: Catalog, at: string): Entry[] {
  if (!counted) return [];
  const { failed, of, outcome, conditions } = counted;
  const stop = outcome ?? catalog.stages.map((s) => s.id);
  const trials = [
    { outcome: stop, n: failed },
    { outcome: CLEAN, n: of - failed },
  ].filter((trial) => trial.n > 0);
  return trials.length === 0 ? [] : [{ kind: "starts", id: "e2", at, by: "owner", conditions, trials }];
}
