/**
 * Section 10 by the dense table: the further clean starts are written into the record, the starts at home are averaged
 * over the belief that they leave.
 */
import type { Ticket } from "../../engine/ticket/schema.js";
import { countedStarts } from "./belief.js";
import { logEvidence, members, weighDense, type DenseStep } from "./dense.js";
import { sumLogs } from "./logs.js";
import {
  changed,
  exposuresIn,
  minutesOf,
  reseated,
  setupKey,
  translate,
  type Arrangement,
  type World,
} from "./translate.js";
import { logUnlisted } from "./unlisted.js";

/** Starts at the owner's, so many in all under these conditions. */
export interface Use {
  conditions: Record<string, string>;
  starts: number;
}

/** Where clean starts are made first. */
export interface There {
  change: Parameters<typeof changed>[1] | null;
  conditions: Record<string, string>;
}

/** P(at least one failed start at the owner's | the record, then n clean starts there). */
export function comeback(ticket: Ticket, use: readonly Use[], there: There, n: number): number {
  const { model, steps, world, last } = translate(ticket);
  const home = atHome(world, last);
  const uses = use.map(({ conditions, starts }) => {
    const minutes = minutesOf(world, conditions);
    return { starts, exposures: exposuresIn(world, home, minutes), setup: setupKey(world, home, minutes) };
  });
  const all = [...steps, ...proving(world, last, there, model.stages, n)];
  // the chance that no cause shows in any of the starts, whatever the leak does
  const table = weighDense(model, all, {
    within: 1e-11,
    probe: {
      length: 1,
      of: (mask, set, rates) => [
        members(mask, set).reduce((product, cause) => {
          const rate = rates[set.indexOf(cause)]!;
          const exposure = uses.reduce((sum, x) => sum + x.starts * x.exposures[cause]!, 0);
          return exposure === 0 ? product : product * Math.exp(exposure * rate.logRest);
        }, 1),
      ],
    },
  });
  const past = countedStarts(all);
  const later = uses.map((x) => ({ outcomes: [model.stages], n: x.starts, trust: 1, setup: x.setup }));
  const logLater = logUnlisted([...past, ...later], model.stages) - logUnlisted(past, model.stages);
  const quiet = sumLogs([
    ...table.sets.flatMap((x) => x.probed.map((row) => row[0]!)),
    table.unlisted[all.length]! + logLater,
  ]);
  return 1 - Math.exp(quiet - logEvidence(table, all.length));
}

/** The move there, and the clean starts. */
function proving(world: World, last: Arrangement, there: There, stages: number, n: number): DenseStep[] {
  const now = there.change ? changed(last, there.change) : last;
  const minutes = minutesOf(world, there.conditions);
  const moved: DenseStep[] = there.change ? [{ kind: "repair", clears: reseated(world, last, now) }] : [];
  if (n === 0) return moved;
  return [
    ...moved,
    {
      kind: "starts",
      exposures: exposuresIn(world, now, minutes),
      seen: [{ outcomes: [stages], n }],
      trust: 1,
      setup: setupKey(world, now, minutes),
    },
  ];
}

/**
 * The owner's arrangement: in its own machine with the parts that are in it now, and with the settings of the intake but
 * for those that a repair has set. A part in a donor goes back to where it came in, if nothing else has taken its place.
 */
export function atHome({ ticket, catalog }: World, last: Arrangement): Arrangement {
  const own = { ...last.fits["own"] };
  const away = last.in === "own" ? [] : Object.values(last.fits[last.in] ?? {});
  for (const part of ticket.machine.parts)
    if (part.position !== undefined && own[part.position] === null && away.includes(part.id))
      own[part.position] = part.id;
  const settings: Record<string, string> = {};
  for (const { id, default: usual } of catalog.settings ?? []) {
    const isRepaired = ticket.entries.some(
      (entry) =>
        entry.kind === "repair" &&
        catalog.repairs!.find((r) => r.id === entry.repair)!.sets?.[id] !== undefined,
    );
    settings[id] = isRepaired ? last.settings[id]! : (ticket.machine.settings?.[id] ?? usual);
  }
  return { in: "own", fits: { ...last.fits, own }, settings, repairs: last.repairs };
}
