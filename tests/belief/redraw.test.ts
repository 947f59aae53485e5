/** Redrawn priors set by set, as the model states it, against sums that take the sets of a cause together. */
import { expect, test } from "vitest";
import { advance } from "../../engine/belief/belief.js";
import { modelOf } from "../../engine/belief/model.js";
import { startState, step } from "../../engine/belief/fold.js";
import { drawParameters, redraw, redrawsOf } from "../../engine/belief/redraw.js";
import type { Entry } from "../../engine/ticket/schema.js";
import { workbench } from "../bench/workbench.js";

const before: Entry = { kind: "starts", id: "a", trials: [{ outcome: "s1" }, { outcome: "clean", n: 3 }] };
const after: Entry = { kind: "starts", id: "b", trials: [{ outcome: "clean", n: 2 }, { outcome: "s0" }] };
/** what every third cause may be cured by */
const efficacy = (causes: number) => Float64Array.from({ length: causes }, (_, i) => (i % 3 ? 0 : 0.6));

test.each([
  [6, 1],
  [7, 2],
  [9, 2],
  [6, 3],
])("of %i causes, at most %i at a time", (causes, most) => {
  const { catalog, ticket } = workbench(causes, 0, most);
  const model = modelOf(catalog, ticket);
  const stopped = step(startState(model), before);
  const cured = advance(stopped.belief, [{ kind: "leave", efficacy: efficacy(causes) }]);
  const { belief } = step({ ...stopped, belief: cured, ahead: [] }, after);
  const redraws = redrawsOf(model, drawParameters(model.parameters, 5, 3));
  const { present, active, none, unlisted } = redraw(belief, redraws);
  expect(active[0]).not.toEqual(present[0]);
  expect(active[1]).toEqual(present[1]);
  for (let d = 0; d < redraws.count; d++) {
    const sums = { present: new Float64Array(causes), active: new Float64Array(causes) };
    const empty = belief.mass[0]! * redraws.none[d]!;
    const beyond = belief.unlistedMass * redraws.unlisted[d]!;
    let total = empty + beyond;
    model.sets.lists.forEach((members, f) => {
      if (f === 0) return;
      const ratio = members.reduce((product, i) => product * redraws.odds[i]![d]!, redraws.share[d]!);
      for (let mask = 0; mask < 1 << members.length; mask++) {
        const weight = belief.mass[f * belief.masks + mask]! * ratio;
        total += weight;
        members.forEach((i, m) => {
          sums.present[i] = sums.present[i]! + weight;
          if (mask & (1 << m)) sums.active[i] = sums.active[i]! + weight;
        });
      }
    });
    const near = (value: number, wanted: number) =>
      expect(Math.abs(value - wanted / total)).toBeLessThan(1e-14);
    near(none[d]!, empty);
    near(unlisted[d]!, beyond);
    for (let i = 0; i < causes; i++) {
      near(present[i]![d]!, sums.present[i]!);
      near(active[i]![d]!, sums.active[i]!);
    }
  }
});
