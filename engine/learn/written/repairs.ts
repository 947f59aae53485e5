/** What was learned of each repair: its minutes, and which causes it cures how often. */
import { numberOf } from "../../catalog/figures.js";
import { cureAfter, minutesAfter } from "../fit/repairs.js";
import { rangedOf, rounded, type Learned, type Sheet } from "./sheet.js";

export function writeRepairs(sheet: Sheet, { start, tally, source }: Learned): void {
  const { catalog, causes } = start.space;
  (catalog.repairs ?? []).forEach(({ id, name, minutes, clears }, r) => {
    const owner = { id, name, group: "repair" };
    const sums = [...tally.minutes.subarray(3 * r, 3 * r + 3)] as [number, number, number];
    const from = numberOf(minutes);
    if (sums[0] > 0 && from > 0) {
      const [before, after] = [minutesAfter(from, [0, 0, 0]), minutesAfter(from, sums)];
      sheet.write(["repairs", id, "minutes"], { value: rounded(after.value), source });
      sheet.view(owner, { figure: "minutes", about: null, tickets: sums[0], before, after });
    }
    for (const [cause, figure] of Object.entries(clears)) {
      const at = (r * causes.length + causes.indexOf(cause)) * 2;
      const [not, cured] = [tally.cures[at]!, tally.cures[at + 1]!];
      if (not + cured === 0) continue;
      const [before, after] = [cureAfter(numberOf(figure), 0, 0), cureAfter(numberOf(figure), cured, not)];
      sheet.write(["repairs", id, "clears", cause], { value: rounded(after.value), source });
      const [ranged, tuned] = [rangedOf(before), rangedOf(after)];
      sheet.view(owner, { figure: "cure", about: cause, tickets: not + cured, before: ranged, after: tuned });
    }
  });
}
