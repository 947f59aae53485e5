/**
 * Candidates in the words a person would use.
 */
import type { Model } from "../belief/model.js";
import { changed, fittedNow, OWN, type Setup } from "../ticket/setup.js";
import type { Candidate, Change } from "./candidates.js";

export function partName({ catalog, ticket }: Model, id: string): string {
  const part = ticket.machine.parts.find((p) => p.id === id);
  if (part) return part.name ?? `${catalog.parts.find((k) => k.id === part.kind)?.name ?? part.kind} ${id}`;
  return catalog.positions.find((p) => p.id === id)?.name ?? id;
}

const positionName = ({ catalog }: Model, id: string) =>
  catalog.positions.find((p) => p.id === id)?.name ?? id;

/** "put spare supply in place of supply", "take module 2 out", "memory speed: standard" … */
export function changeWords(model: Model, before: Setup, change: Change): string {
  const after = changed(before, change);
  const place =
    after.in === before.in
      ? ""
      : after.in === OWN
        ? " back in its own machine"
        : ` in ${donorName(model, after.in)}`;
  const [old, now] = [
    after.in === OWN ? before.fit : before.in === after.in ? fittedNow(before) : {},
    fittedNow(after),
  ];
  const parts = Object.keys(now).filter((p) => now[p] !== old[p]);
  const stays = new Set(Object.values(now));
  const phrases = parts.flatMap((position): string[] => {
    const [from, to] = [old[position] ?? null, now[position] ?? null];
    if (to === null) return from === null || stays.has(from) ? [] : [`take ${partName(model, from)} out`];
    const replaced =
      from !== null && !stays.has(from)
        ? ` in place of ${partName(model, from)}`
        : ` in ${positionName(model, position)}`;
    return [`put ${partName(model, to)}${replaced}`];
  });
  const settings = (model.catalog.settings ?? [])
    .filter((s) => before.settings[s.id] !== after.settings[s.id])
    .map(
      (s) =>
        `set ${s.name.toLowerCase()} to ${s.values.find((v) => v.id === after.settings[s.id])?.name.toLowerCase()}`,
    );
  return capital([...phrases, ...settings].join(", ") + place);
}

const donorName = ({ ticket }: Model, id: string) =>
  ticket.machine.donors?.find((d) => d.id === id)?.name ?? id;

/** A name inside a sentence; what begins with a capital word such as LED keeps it. */
const small = (name: string) =>
  (/^[A-Z][a-z ]/.test(name) ? name.slice(0, 1).toLowerCase() + name.slice(1) : name) +
  (/[?.!]$/.test(name) ? "" : ".");

export const capital = (text: string) => text.slice(0, 1).toUpperCase() + text.slice(1);

function conditionWords({ catalog }: Model, conditions: Record<string, string>): string {
  return (catalog.conditions ?? [])
    .flatMap((c) => {
      const id = conditions[c.id];
      return id === undefined ? [] : [c.classes.find((x) => x.id === id)!.name.toLowerCase()];
    })
    .join(", ");
}

const times = (n: number) => (n === 1 ? "once" : n === 2 ? "twice" : `${n} times`);

/** How a start is made where what it is mostly made with is out. */
const byHand = ({ catalog }: Model, setup: Setup): string =>
  catalog.positions
    .flatMap(({ id, without }) =>
      without !== undefined && fittedNow(setup)[id] === null ? [`, ${without}`] : [],
    )
    .join("");

/** One sentence. */
export function titleOf(
  model: Model,
  setup: Setup,
  candidate: Candidate,
  n: number,
  stopEarly = false,
  forGood = false,
): string {
  const on = "on" in candidate && candidate.on !== null ? ` · ${partName(model, candidate.on)}` : "";
  if (candidate.kind === "finding") return `Check${on.replace(" ·", "")}: ${small(candidate.finding.name)}`;
  if (candidate.kind === "reading") return `Read ${candidate.reading.name}${on}.`;
  const conditions = conditionWords(model, candidate.conditions);
  const often = stopEarly && n > 1 ? `up to ${times(n)}, until it stops` : times(n);
  const by = byHand(model, candidate.change ? changed(setup, candidate.change) : setup);
  const start = `start it ${conditions ? `${conditions}, ` : ""}${often}${by}`;
  if (candidate.repair) {
    const where = candidate.repair.on === null ? "" : ` · ${partName(model, candidate.repair.on)}`;
    const first = candidate.change ? `${changeWords(model, setup, candidate.change)}. ` : "";
    return `${first}${candidate.repair.repair.name}${where}, then ${start}.`;
  }
  if (!candidate.change) return `${capital(start)}, as it is.`;
  return `${changeWords(model, setup, candidate.change)}${forGood ? " for good," : ""} and ${start}.`;
}

/** What tells one candidate from another. */
export function idOf(candidate: Candidate): string {
  if (candidate.kind === "finding") return `finding ${candidate.finding.id} ${candidate.on ?? ""}`.trim();
  if (candidate.kind === "reading") return `reading ${candidate.reading.id} ${candidate.on ?? ""}`.trim();
  const { change, repair, conditions } = candidate;
  return `starts ${JSON.stringify({ change, repair: repair && [repair.repair.id, repair.on], conditions })}`;
}

/** @param ids  of cautions, in any order */
export const cautionsOf = ({ catalog }: Model, ids: readonly string[]): { text: string; danger: boolean }[] =>
  (catalog.cautions ?? [])
    .filter((caution) => ids.includes(caution.id))
    .map(({ text, danger }) => ({ text, danger: danger ?? false }));

/** What was seen, in words. */
export function outcomeWords({ catalog }: Model, outcome: string): string {
  return outcome === "clean"
    ? "clean"
    : (catalog.stages.find((s) => s.id === outcome)?.name.toLowerCase() ?? outcome);
}
