/**
 * Handing over: which parts go home with the machine, how likely it is to come back, and what it is held to have been.
 */
import { activity, presence } from "../../belief/summary.js";
import { groupsOf, MomentStore } from "../../belief/moments.js";
import { addStarts, logUnlisted } from "../../belief/unlisted.js";
import { homeSetup, homeUse, releaseTerms } from "../../plan/home.js";
import { changed, intakeSetup, type Setup } from "../../ticket/setup.js";
import type { Known } from "../strategy.js";
import { UNLISTED } from "../work.js";
import type { Fit } from "./moves.js";

/** Every position as it came in, but for parts that are likely enough bad to be worth the one that is in their place. */
export function handover(known: Known): Setup {
  const { place, belief } = known.state;
  const came = intakeSetup(belief.model);
  const fit: Fit = {};
  for (const [position, own] of Object.entries(came.fit)) {
    const now = place.setup.fit[position] ?? null;
    const stays =
      own !== null && now !== null && badness(known, own) * known.prices.comeback > priceOf(known, now);
    if (now !== own && !stays) fit[position] = own;
  }
  return changed(place.setup, { fit, in: "own" });
}

/** What has to be moved for it, or null where nothing has. */
export function wayTo(wanted: Setup, { state }: Known): Fit | null {
  const now = state.place.setup.fit;
  const differing = Object.entries(wanted.fit).filter(([position, part]) => now[position] !== part);
  return differing.length === 0 ? null : Object.fromEntries(differing);
}

/** P(something is at work in this part, wherever it is now). */
function badness({ state }: Known, part: string): number {
  const active = activity(state.belief);
  return state.belief.model.causes.reduce((sum, c, i) => (c.part === part ? sum + active[i]! : sum), 0);
}

const priceOf = ({ ticket }: Known, part: string): number =>
  ticket.machine.parts.find((p) => p.id === part)?.price ?? 0;

/** P(it stops at least once in the customer's hands), the leak left out; project model, section 10. */
export function comebackOf({ state, ticket }: Known, setup: Setup): number {
  const { belief, place } = state;
  const { model } = belief;
  const home = homeSetup(model, { ...place, setup }, ticket.entries);
  const { exposure, starts } = homeUse(model, place, home, releaseTerms(model.catalog, ticket));
  // all the starts at home are as one start of their exposures together
  const store = new MomentStore(belief, 1);
  const stops = groupsOf(belief).reduce(
    (sum, group) => sum + group.mass - store.of(group, exposure).values[0]!,
    0,
  );
  const clean = Uint8Array.from({ length: model.stages.outcomes }, (_, o) =>
    Number(o === model.stages.outcomes - 1),
  );
  const quiet = [...starts].reduce(
    (unlisted, [key, n]) => addStarts(unlisted, key, [{ wanted: clean, n }], 1),
    belief.unlisted,
  );
  return stops - belief.unlistedMass * Math.expm1(logUnlisted(quiet) - logUnlisted(belief.unlisted));
}

/** The likeliest cause, if one is likelier than that nothing was wrong; with it the part that was exchanged for it. */
export function named({ state }: Known): string[] {
  const { belief, place } = state;
  const { present } = presence(belief);
  const { causes } = belief.model;
  const came = intakeSetup(belief.model).fit;
  const own = new Set(Object.values(came));
  // what is wrong with a spare is not what was wrong with the machine
  const ours = causes.map((c, i) => (c.part === null || own.has(c.part) ? present[i]! : 0));
  const leading = ours.reduce((best, p, i) => (p > ours[best]! ? i : best), 0);
  const p = ours[leading] ?? 0;
  const nothing = 1 - ours.reduce((sum, x) => sum + x, 0) - belief.unlistedMass;
  if (belief.unlistedMass > Math.max(p, nothing)) return [UNLISTED];
  if (nothing > p) return [];
  const { id, part } = causes[leading]!;
  const isOut = part !== null && !Object.values(place.setup.fit).includes(part);
  return isOut ? [id, part] : [id];
}
