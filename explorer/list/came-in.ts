/** What came of opening a catalog, in sentences. Pure. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { catalogOf } from "../store/catalogs.js";

/** @param here  what stood under its id; null: nothing */
export function cameInWords(catalog: Catalog, here: Catalog | null, tickets: readonly Ticket[]): string {
  const what = `“${catalog.name}”, version ${catalog.version},`;
  if (here === null)
    return `${what} is kept among the kinds of machine. New tickets can be taken in with it.`;
  const n = tickets.filter((ticket) => catalogOf(ticket, [catalog]) === catalog).length;
  const weighed =
    n === 0 ? "" : ` ${n === 1 ? "One ticket is" : `${n} tickets are`} weighed with it from now on.`;
  return `${what} is kept in the place of version ${here.version}.${weighed}`;
}

export const hereAlready = ({ name, version }: Catalog): string =>
  `“${name}”, version ${version}, is among the kinds of machine already, to the letter.`;

export const takenBackWords = ({ name }: Catalog, here: Catalog | null): string =>
  here === null
    ? `“${name}” is not kept.`
    : `“${here.name}”, version ${here.version}, stands in its place again.`;
