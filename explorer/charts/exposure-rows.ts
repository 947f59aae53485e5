/** How much a start exercises what is suspected, as rows to draw. Pure. */
import type { Weighing } from "../../engine/weighing.js";

export interface ExposureRow {
  id: string;
  name: string;
  group: string;
  p: number;
  /** 0: cannot show at such a start; 1: as at a usual one */
  exposure: number;
}

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

const WELL = 0.5;
/** An exposure under this is next to none. */
export const HARDLY = 0.05;

/** Shares of the suspicion, weighted by the chances: exercised half as much as usual or more, and hardly. */
export function exercisedShare(rows: readonly ExposureRow[]): { well: number; not: number } {
  const weigh = (counts: (exposure: number) => boolean) =>
    rows.reduce((sum, { p, exposure }) => sum + (counts(exposure) ? p : 0), 0);
  const whole = weigh(() => true) || 1;
  return { well: weigh((e) => e >= WELL) / whole, not: weigh((e) => e < HARDLY) / whole };
}
