/**
 * From plain answers to a cause of the ticket's own. Pure.
 *
 * The figures behind the words are judgement: they set how far a record can move the belief, and the record does the rest.
 */
import type { Catalog, CauseTemplate } from "../../../engine/catalog/schema.js";
import type { Ticket } from "../../../engine/ticket/schema.js";

export const GROUP_NAMES: Record<CauseTemplate["group"], string> = {
  part: "a part",
  contact: "a contact, plug or cable",
  firmware: "firmware",
  setting: "a setting",
  supply: "the power supply",
  outside: "something outside the machine",
  heat: "heat",
};

const SOURCE = "judgement";

/** How it shows, from start to start. */
export const SHOWING = {
  unknown: { name: "I cannot say", intermittency: { hard: 0.2, a: 1, b: 1, source: SOURCE } },
  always: { name: "in nearly every start", intermittency: { hard: 0.7, a: 4, b: 1, source: SOURCE } },
  often: { name: "it comes and goes", intermittency: { hard: 0.05, a: 1.5, b: 2.5, source: SOURCE } },
  seldom: { name: "seldom", intermittency: { hard: 0.01, a: 1, b: 9, source: SOURCE } },
} satisfies Record<string, { name: string; intermittency: CauseTemplate["intermittency"] }>;

/** How many such machines get it in a year, of 100. */
export const COMMON = {
  rare: { name: "hardly ever: 1 machine in 1000 a year", percent: 0.1 },
  some: { name: "now and then: 1 in 100", percent: 1 },
  often: { name: "often: 1 in 10", percent: 10 },
};

export interface CauseAnswers {
  name: string;
  group: CauseTemplate["group"];
  /** `machine`, `part KIND` or `position KIND` */
  per: string;
  /** stages at which a start would stop */
  stages: string[];
  showing: keyof typeof SHOWING;
  common: keyof typeof COMMON;
  /** moving or plugging it again clears it for a while */
  reseats: boolean;
  /** condition and class in which it mostly shows; null: any */
  when: { condition: string; class: string } | null;
}

export const blankCause: CauseAnswers = {
  name: "",
  group: "part",
  per: "machine",
  stages: [],
  showing: "unknown",
  common: "some",
  reseats: false,
  when: null,
};

/** What a cause of one's own can belong to. */
export const belongings = (catalog: Catalog, ticket: Ticket): { key: string; name: string }[] => {
  const kinds = new Set(ticket.machine.parts.map((part) => part.kind));
  const places = new Map<string, string[]>();
  for (const { kind, name } of catalog.positions) places.set(kind, [...(places.get(kind) ?? []), name]);
  return [
    { key: "machine", name: "the machine as a whole" },
    ...catalog.parts
      .filter((kind) => kinds.has(kind.id))
      .map(({ id, name }) => ({ key: `part ${id}`, name })),
    ...[...places].map(([kind, names]) => ({
      key: `position ${kind}`,
      name: names.length > 1 ? `each of the places: ${names.join(", ")}` : `the place: ${names[0]!}`,
    })),
  ];
};

const SELDOM_ELSEWHERE = 0.1;

export function causeFrom(answers: CauseAnswers, id: string): CauseTemplate {
  const [what, kind] = answers.per.split(" ");
  const share = 1 / answers.stages.length;
  const { when } = answers;
  return {
    id,
    name: answers.name.trim(),
    group: answers.group,
    per: what === "part" ? { part: kind! } : what === "position" ? { position: kind! } : "machine",
    ...(answers.reseats && { contact: true, reseat: { value: 0.6, source: SOURCE } }),
    rate: { value: COMMON[answers.common].percent, unit: "%/year", knowledge: 2, source: SOURCE },
    intermittency: SHOWING[answers.showing].intermittency,
    signature: Object.fromEntries(answers.stages.map((stage) => [stage, share])),
    ...(when && { exposure: `is("${when.condition}", "${when.class}") ? 1 : ${SELDOM_ELSEWHERE}` }),
    note: "added to this ticket at the bench",
  };
}

/** An id of its own, made from the name: "Stand-off shorts the board" → own-stand-off-shorts-the-board. */
export function causeId(name: string, taken: Iterable<string>): string {
  const known = new Set(taken);
  const words = name
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-|-$/g, "");
  const stem = `own-${words}`.slice(0, 55).replace(/-$/, "");
  for (let n = 1; ; n++) {
    const id = n === 1 ? stem : `${stem}-${n}`;
    if (!known.has(id)) return id;
  }
}

export const addCause = (ticket: Ticket, cause: CauseTemplate): Ticket => ({
  ...ticket,
  causes: [...(ticket.causes ?? []), cause],
});

export function dropCause(ticket: Ticket, id: string): Ticket {
  const { causes = [], ...rest } = ticket;
  const left = causes.filter((cause) => cause.id !== id);
  return left.length > 0 ? { ...rest, causes: left } : rest;
}
