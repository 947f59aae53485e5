/** The catalogs and the example tickets that come with the program. A new file in their folders is enough. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";

const files = import.meta.glob<unknown>("../../priors/*.json", { eager: true, import: "default" });
const tickets = import.meta.glob<unknown>("../../scenarios/*/ticket.json", {
  eager: true,
  import: "default",
});

const declares = (data: unknown, format: string) =>
  typeof data === "object" && data !== null && (data as { format?: unknown }).format === format;

export const CATALOGS = Object.values(files).filter((data) =>
  declares(data, "fitful/catalog@1"),
) as Catalog[];

/** The ticket a newcomer sees first. */
const FIRST = "cold-standby-rail";

export const EXAMPLES: readonly Ticket[] = Object.entries(tickets)
  .filter(([, data]) => declares(data, "fitful/ticket@1"))
  .sort(([path]) => (path.includes(`/${FIRST}/`) ? -1 : 1))
  .map(([, data]) => data as Ticket);

/** A ticket names its catalog by id or by path, or carries it along. */
export function catalogOf(ticket: Ticket, known: readonly Catalog[] = CATALOGS): Catalog | null {
  const { catalog } = ticket;
  if (typeof catalog !== "string") return catalog;
  const name = catalog
    .split("/")
    .at(-1)!
    .replace(/\.json$/, "");
  return known.find((c) => c.id === catalog || c.id === name) ?? null;
}
