/** How much a start exercises what is suspected, as rows to draw. Pure. */
import type { Weighing } from "../../engine/weighing.js";
import type { ExposureRow } from "./exposures.js";

/** Causes that are still suspected, likeliest first, with the exposure of one start. */
export const exposureRows = (
  { causes }: Pick<Weighing, "causes">,
  of: ReadonlyMap<string, { exposure: number }>,
): ExposureRow[] =>
  causes
    .flatMap(({ id, name, group, present }): ExposureRow[] => {
      const depends = of.get(id);
      return depends ? [{ id, name, group, p: present.p, exposure: depends.exposure }] : [];
    })
    .sort((x, y) => y.p - x.p);

const [WELL, HARDLY] = [0.5, 0.05];

/** Shares of the suspicion, weighted by the chances: exercised half as much as usual or more, and hardly. */
export function exercisedShare(rows: readonly ExposureRow[]): { well: number; not: number } {
  const weigh = (counts: (exposure: number) => boolean) =>
    rows.reduce((sum, { p, exposure }) => sum + (counts(exposure) ? p : 0), 0);
  const whole = weigh(() => true) || 1;
  return { well: weigh((e) => e >= WELL) / whole, not: weigh((e) => e < HARDLY) / whole };
}
