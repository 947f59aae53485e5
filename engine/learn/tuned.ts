/** Fitted figures → changes of a catalog. Only what tickets taught is written. */
import type { Fitted } from "./fit/fit.js";
import type { Start } from "./fit/start.js";
import type { Tally } from "./tally/tally.js";
import { writeCauses } from "./written/causes.js";
import { writeRepairs } from "./written/repairs.js";
import { Sheet } from "./written/sheet.js";
import { writeShares } from "./written/shares.js";

export function tunedFigures(start: Start, fitted: Fitted, tally: Tally, source: string): Sheet {
  const learned = { start, fitted, tally, source };
  const sheet = new Sheet();
  writeShares(sheet, learned);
  writeCauses(sheet, learned);
  writeRepairs(sheet, learned);
  return sheet;
}
