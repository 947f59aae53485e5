/** How long a table of past tickets takes, from bytes to a tuned catalog. */
import Papa from "papaparse";
import { startOf } from "../../engine/learn/fit/start.js";
import { Intake } from "../../engine/learn/intake.js";
import { spaceOf } from "../../engine/learn/space.js";
import { tune } from "../../engine/learn/tune.js";
import type { Matching } from "../../engine/learn/table/matching.js";
import { seededUniform } from "../../engine/numeric/random.js";
import desktop from "../../priors/desktop.json";
import type { Catalog } from "../../engine/catalog/schema.js";
import matching from "../../scenarios/past-tickets/matching.json";
import { cleanTickets, drawTruth, HABITS } from "../../scenarios/past-tickets/draw.js";
import { HEADING, NOISE, rowsOf } from "../../scenarios/past-tickets/table.js";

/** Seconds to read so many rows of the desktop catalog, and to fit and test what they teach. */
export function tuning(tickets: number): { rows: number; read: number; fit: number } {
  const space = spaceOf(desktop as unknown as Catalog);
  const start = startOf(space);
  const truth = drawTruth(start, HABITS, seededUniform(1));
  const noise = seededUniform(2);
  const rows = [...cleanTickets(start, truth, HABITS, tickets, 3)].flatMap((t, k) =>
    rowsOf(t, k + 1, space, NOISE, noise),
  );
  const bytes = new TextEncoder().encode(Papa.unparse([HEADING, ...rows], { delimiter: ";" }));
  const begun = performance.now();
  const intake = new Intake(space, { matching: matching as Matching });
  for (let at = 0; at < bytes.length; at += 1 << 16) intake.push(bytes.subarray(at, at + (1 << 16)));
  intake.end();
  const read = performance.now();
  tune(intake.gathered!);
  return { rows: rows.length, read: (read - begun) / 1000, fit: (performance.now() - read) / 1000 };
}
