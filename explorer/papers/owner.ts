/** What the owner is told, in words that need no schooling. Pure. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { intakeSetup, type Setup } from "../../engine/ticket/setup.js";
import type { CauseView, ReleaseView, Weighing } from "../../engine/weighing.js";
import { inSentence, listed } from "../bench/format.js";
import { CLEAN } from "../bench/ticket-edits.js";
import { WENT } from "../bench/record/went.js";
import type { Words } from "../bench/words.js";
import { inHundred, surely } from "./sure.js";

/** All that a paper is made from. */
export interface PaperData {
  catalog: Catalog;
  ticket: Ticket;
  weighing: Weighing;
  /** null: not worked out */
  release: ReleaseView | null;
  setups: { at: Setup[]; now: Setup };
  words: Words;
}

export interface OwnerWords {
  /** the heading over what is, or was, wrong */
  about: string;
  wrong: string[];
  done: string[];
  starts: string;
  comeback: string;
  finished: boolean;
}

/** Likely enough to be named to the owner where nothing leads. */
const NAMED = 0.15;
const LEADS = 0.5;

export function ownerWords(data: PaperData): OwnerWords {
  const finished = data.ticket.entries.some((entry) => entry.kind === "release");
  return {
    about: finished ? "What was wrong" : "What is wrong",
    wrong: wrongWords(data, finished),
    done: doneWords(data),
    starts: startsWords(data.ticket),
    comeback: comebackWords(data),
    finished,
  };
}

/** What a cause is, to somebody who does not repair such machines. */
const GROUPS: Record<string, string> = {
  part: "a part that comes and goes",
  contact: "a poor contact",
  firmware: "the program built into the machine",
  setting: "a setting",
  supply: "the power supply",
  outside: "something outside the machine",
  heat: "heat",
};

/**
 * "Standby rail weak when cold · Supply, Own supply" → "the power supply (supply, own supply: standby rail weak when
 * cold)". Each place by its own name: a comma may stand inside one, before what keeps its capital.
 */
function said({ name, group, parts, position }: CauseView, words: Words): string {
  const [what = "", ...where] = name.split(" · ");
  const named = [
    ...(position === null ? [] : [words.position(position)]),
    ...parts.map((id) => words.part(id)),
  ];
  const places = where.map((place) =>
    named.reduce((text, whole) => text.replace(whole, () => inSentence(whole)), place),
  );
  return `${GROUPS[group] ?? group} (${[...places, inSentence(what)].join(": ")})`;
}

/** What was wrong with a machine that has gone home, what is wrong with one that is still here. */
function wrongWords({ ticket, weighing, words }: PaperData, finished: boolean): string[] {
  const release = ticket.entries.findLast((entry) => entry.kind === "release");
  const confirmed = release?.kind === "release" ? (release.confirmed ?? []) : [];
  const nameOf = (id: string) => {
    const cause = weighing.causes.find((c) => c.id === id);
    return cause ? said(cause, words) : id;
  };
  if (confirmed.length > 0) return [`We found it and made sure of it: ${listed(confirmed.map(nameOf))}.`];
  const causes = [...weighing.causes].sort((x, y) => y.present.p - x.present.p);
  const [first] = causes;
  const nothing = weighing.none.p;
  if (nothing >= LEADS && nothing > (first?.present.p ?? 0))
    return [
      `We ${finished ? "found nothing wrong with it" : "have found nothing wrong with it so far"}; we are ${inHundred(nothing)} sure of that.`,
      "What you saw may come from where and how it is used. The starts below say how often we tried.",
    ];
  const leaders = causes.filter((cause) => cause.present.p >= LEADS); // two faults at once are two
  if (leaders.length > 0)
    return leaders.map(
      (c) =>
        `It ${finished ? "was" : "is"} ${surely(c.present.p)} ${said(c, words)}. We are ${inHundred(c.present.p)} sure.`,
    );
  const likely = causes.filter((cause) => cause.present.p >= NAMED).slice(0, 3);
  const open = finished
    ? "We could not make out for sure what was wrong."
    : "We do not know for sure yet what is wrong.";
  if (likely.length === 0) return [open];
  return [
    open,
    `Most likely: ${likely.map((c) => `${said(c, words)}, ${inHundred(c.present.p)}`).join("; ")}.`,
  ];
}

/** What is different about the machine now: parts, settings, repairs, and where the old parts are. */
function doneWords({ catalog, ticket, setups, words }: PaperData): string[] {
  const came = intakeSetup({ catalog, ticket }).fit;
  const now = setups.now.fit;
  const moved = Object.entries(now).flatMap(([position, part]) => {
    const old = came[position] ?? null;
    if (part === old) return [];
    const place = inSentence(words.position(position));
    if (part === null) return [`${words.part(old!)} is no longer in ${place}.`];
    return [
      old === null
        ? `${words.part(part)} is now in ${place}.`
        : `${words.part(part)} is now in ${place}, in place of ${inSentence(words.part(old))}.`,
    ];
  });
  const repairs = ticket.entries.flatMap((entry) =>
    entry.kind === "repair"
      ? [`Done: ${words.heading(entry, setups.now).split(" · ").map(inSentence).join(", ")}.`]
      : [],
  );
  const settings = words.settingsChanged(setups.now).map((setting) => `Changed: ${setting}.`);
  return [...repairs, ...moved, ...settings, ...leftWords(came, now, ticket, words)];
}

/**
 * Where each part is that came in the machine and is not in it any more. One that made room for another lies here, unless
 * something else is written down; one in whose place nothing sits may have stayed with the owner.
 */
function leftWords(came: Setup["fit"], now: Setup["fit"], ticket: Ticket, words: Words): string[] {
  return Object.entries(came).flatMap(([position, id]) => {
    if (id === null || Object.values(now).includes(id)) return [];
    const went = ticket.machine.parts.find((part) => part.id === id)?.went;
    const where = went ? WENT[went.to] : now[position] ? "still here with us" : null;
    return where === null ? [] : [`${words.part(id)}, which came out: ${where}.`];
  });
}

function startsWords(ticket: Ticket): string {
  const counted = ticket.entries.flatMap((entry) =>
    entry.kind === "starts" && entry.by !== "owner"
      ? entry.trials.filter((trial) => trial.voided === undefined)
      : [],
  );
  const sum = (trials: typeof counted) => trials.reduce((n, trial) => n + (trial.n ?? 1), 0);
  const [all, failed] = [sum(counted), sum(counted.filter((trial) => trial.outcome !== CLEAN))];
  if (all === 0) return "We have not started it yet.";
  const since = counted.slice(counted.findLastIndex((trial) => trial.outcome !== CLEAN) + 1);
  const times = (n: number) => (n === 1 ? "once" : `${n} times`);
  const last =
    failed > 0 && sum(since) > 0
      ? ` The last ${sum(since) === 1 ? "start was" : `${sum(since)} starts were`} clean.`
      : "";
  return `We started it ${times(all)}; ${failed === 0 ? "it never failed" : `it failed ${times(failed)}`}.${last}`;
}

function comebackWords({ release }: PaperData): string {
  if (!release) return "We have not worked out yet how likely it is to fail again.";
  const days = `${release.days} day${release.days === 1 ? "" : "s"}`;
  return `The chance that it fails again within ${days}, used as you use it: ${inHundred(release.comeback)}.`;
}
