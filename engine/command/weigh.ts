/** `fitful weigh TICKET`: the posterior and the next tests of a ticket. */
import type { Ticket } from "../ticket/schema.js";
import { createWeigher, parseTicket } from "../weigh.js";
import { catalogFor, readCatalog } from "./catalogs.js";
import { nameOf, readJson } from "./files.js";
import { CallFault, InputFaults, json, type Reply, type Values } from "./reply.js";
import { report } from "./report.js";
import { whole } from "./numbers.js";

const CAUSES_SHOWN = 8;

export async function weigh(files: string[], values: Values): Promise<Reply> {
  const [file, ...others] = files;
  if (file === undefined || others.length > 0)
    throw new CallFault(`weigh: found ${files.length} files, expected one ticket; see fitful help`);
  const causes = whole("causes", values, 0, 1000) ?? CAUSES_SHOWN;
  const options = optionsOf(values);

  const parsed = parseTicket(await readJson(file));
  if ("issues" in parsed) throw new InputFaults({ file: nameOf(file), issues: parsed.issues });
  const ticket: Ticket = { ...parsed.ticket, options: { ...parsed.ticket.options, ...options } };
  const catalog =
    typeof values.catalog === "string" ? await readCatalog(values.catalog) : await catalogFor(ticket, file);

  const weighed = createWeigher(catalog).weigh(ticket, { advice: values["no-advice"] !== true });
  if ("issues" in weighed) throw new InputFaults({ file: nameOf(file), issues: weighed.issues });
  const { weighing } = weighed;
  return { out: values.json === true ? json(weighing) : report(weighing, ticket, catalog, causes), code: 0 };
}

/** What the call says stands above what the ticket says. */
function optionsOf(values: Values): NonNullable<Ticket["options"]> {
  const maxCauses = whole("max-causes", values, 0, 3);
  const seed = whole("seed", values, 0, Number.MAX_SAFE_INTEGER);
  const draws = whole("draws", values, 0, 10000);
  return {
    ...(maxCauses !== undefined && { maxCauses }),
    ...(seed !== undefined && { seed }),
    ...(draws !== undefined && { draws }),
  };
}
