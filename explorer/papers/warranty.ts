/** The evidence about one part, with every start in it. Pure. */
import type { EntryOf, Trial } from "../../engine/ticket/schema.js";
import { fittedNow, OWN, type Setup } from "../../engine/ticket/setup.js";
import { dayOf, sentence, timeOfDay } from "../bench/format.js";
import { CLEAN } from "../bench/ticket-edits.js";
import { chanceBad } from "../bench/record/went.js";
import type { PaperData } from "./owner.js";

/** Starts that count, and how many of them failed. */
export interface Tally {
  starts: number;
  failed: number;
}

export interface Count {
  what: string;
  bench: Tally;
  /** told by the owner */
  told: Tally;
}

export interface StartLine {
  number: number;
  when: string;
  /** arrangement and conditions */
  setup: string;
  /** whether the part was in it */
  withPart: boolean;
  outcome: string;
  n: number;
  minute: number | null;
  code: string;
  /** why it does not count; "" where it does */
  voided: string;
  /** told by the owner */
  told: boolean;
}

export interface Evidence {
  counts: Count[];
  starts: StartLine[];
  /** looked at and measured, on the part or on the machine while it was in */
  looks: { when: string; what: string; seen: string }[];
  /** ids of photographs with what they show */
  photos: { id: string; shows: string }[];
  bad: number | null;
}

/** The part that a claim would be about: one that went back under warranty, else the one likeliest to be bad. */
export function likeliestPart({ ticket, weighing }: PaperData): string | null {
  const sent = ticket.machine.parts.find((part) => part.went?.to === "warranty");
  if (sent) return sent.id;
  const rated = ticket.machine.parts.map((part) => ({
    id: part.id,
    bad: chanceBad(weighing, part.id) ?? -1,
  }));
  return rated.sort((x, y) => y.bad - x.bad)[0]?.id ?? null;
}

export function evidenceOn(part: string, data: PaperData): Evidence {
  const { ticket, setups, weighing } = data;
  const rows = ticket.entries.flatMap((entry, i) =>
    entry.kind === "starts" ? [{ entry, setup: setups.at[i]!, within: holds(setups.at[i]!, part) }] : [],
  );
  const starts = rows.flatMap(({ entry, setup, within }) =>
    entry.trials.map((trial) => lineOf(data, entry, trial, setup, within)),
  );
  return {
    counts: countsOf(rows),
    starts: starts.map((line, i) => ({ ...line, number: i + 1 })),
    looks: looksAt(part, data),
    photos: ticket.entries.flatMap((entry) =>
      (entry.photos ?? []).map((id) => ({ id, shows: sentence(data.words.gist(entry)) })),
    ),
    bad: chanceBad(weighing, part),
  };
}

const holds = (setup: Setup, part: string): boolean => Object.values(fittedNow(setup)).includes(part);

interface Row {
  entry: EntryOf<"starts">;
  setup: Setup;
  within: boolean;
}

/** Starts that count, with the part and without it: of this bench, and of the owner. */
function countsOf(rows: readonly Row[]): Count[] {
  const kinds: { what: string; fits: (row: Row) => boolean }[] = [
    { what: "with the part in its machine", fits: ({ setup, within }) => within && setup.in === OWN },
    { what: "with the part in another machine", fits: ({ setup, within }) => within && setup.in !== OWN },
    { what: "with another part in its place, or none", fits: ({ within }) => !within },
  ];
  return kinds
    .map(({ what, fits }) => {
      const fitting = rows.filter(fits);
      return {
        what,
        bench: tallyOf(fitting.filter(({ entry }) => entry.by !== "owner")),
        told: tallyOf(fitting.filter(({ entry }) => entry.by === "owner")),
      };
    })
    .filter(({ bench, told }) => bench.starts + told.starts > 0);
}

function tallyOf(rows: readonly Row[]): Tally {
  const counted = rows.flatMap(({ entry }) => entry.trials).filter((trial) => trial.voided === undefined);
  const sum = (some: Trial[]) => some.reduce((n, trial) => n + (trial.n ?? 1), 0);
  return { starts: sum(counted), failed: sum(counted.filter((trial) => trial.outcome !== CLEAN)) };
}

/** "seen on the bench 0 failed of 9 starts; told by the owner 5 failed of 14 starts" */
export function countWords({ bench, told }: Count): string {
  const words = ({ starts, failed }: Tally) =>
    starts === 0 ? "no start" : `${failed} failed of ${starts} start${starts === 1 ? "" : "s"}`;
  const seen = `seen on the bench ${words(bench)}`;
  return told.starts === 0 ? seen : `${seen}; told by the owner ${words(told)}`;
}

function lineOf(
  { words }: PaperData,
  entry: EntryOf<"starts">,
  trial: Trial,
  setup: Setup,
  withPart: boolean,
): StartLine {
  const at = trial.at ?? entry.at;
  const how = words.conditions(entry.conditions);
  return {
    number: 0,
    when: `${dayOf(at)} ${timeOfDay(at)}`.trim(),
    setup: [words.setup(setup), how].filter((s) => s !== "").join(", "),
    withPart,
    outcome: words.outcome(trial.outcome),
    n: trial.n ?? 1,
    minute: trial.minute ?? null,
    code: trial.code ?? "",
    voided: trial.voided ?? "",
    told: entry.by === "owner",
  };
}

function looksAt(part: string, { ticket, catalog, setups, words }: PaperData): Evidence["looks"] {
  return ticket.entries.flatMap((entry, i) => {
    if (entry.kind !== "finding" && entry.kind !== "reading") return [];
    if (entry.on === undefined ? !holds(setups.at[i]!, part) : entry.on !== part) return [];
    const finding =
      entry.kind === "finding" ? catalog.findings?.find((f) => f.id === entry.finding) : undefined;
    const reading =
      entry.kind === "reading" ? catalog.readings?.find((r) => r.id === entry.reading) : undefined;
    const band = reading?.band ? ` (band ${reading.band.low} to ${reading.band.high} ${reading.unit})` : "";
    const value = finding?.values.find((v) => v.id === entry.value)?.name ?? String(entry.value);
    const unit = reading && typeof entry.value === "number" ? ` ${reading.unit}` : "";
    return [
      {
        when: `${dayOf(entry.at)} ${timeOfDay(entry.at)}`.trim(),
        what: words.heading(entry, setups.at[i]!),
        seen: `${value}${unit}${band}`,
      },
    ];
  });
}
