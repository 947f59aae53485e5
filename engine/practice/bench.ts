/**
 * One machine on one bench: the technician's record and the machine behind it, and what an action does to both.
 */
import { numberOf } from "../catalog/figures.js";
import { step, type State } from "../belief/fold.js";
import type { Candidate, RepairOn } from "../plan/candidates.js";
import { costOf } from "../plan/minutes.js";
import type { Entry, Ticket } from "../ticket/schema.js";
import { intakeSetup, type Setup } from "../ticket/setup.js";
import { alter, look, read, start, type Machine } from "./machine.js";
import type { Prices } from "./prices.js";
import type { Action } from "./strategy.js";
import { Streams } from "./streams.js";

/** Where a ticket begins: the machine brought in, the owner's word in the record. */
export interface Arrival {
  seed: number;
  machine: Machine;
  ticket: Ticket;
  state: State;
}

/** A part of the shop's that was put in. */
interface Fitted {
  part: string;
  /** the customer's part in whose place it came had something at work */
  rightly: boolean;
  bought: boolean;
}

export class Bench {
  machine: Machine;
  ticket: Ticket;
  state: State;
  minutes = 0;
  /** materials and damage; parts are settled at the end */
  materials = 0;
  seen = { clean: 0, stops: 0 };
  private readonly luck: Streams;
  private readonly fitted = new Map<string, Fitted>();

  constructor(
    private readonly arrival: Arrival,
    private readonly prices: Prices,
  ) {
    this.machine = arrival.machine;
    this.ticket = arrival.ticket;
    this.state = arrival.state;
    this.luck = new Streams(arrival.seed);
  }

  /** Money so far: what was bought, at its price, and materials. */
  get money(): number {
    let sum = this.materials;
    for (const { part, bought } of this.fitted.values()) if (bought) sum += this.priceOf(part);
    return sum;
  }

  do({ candidate, n, stopEarly }: Action): void {
    this.seen = { clean: 0, stops: 0 };
    if (candidate.kind === "finding" || candidate.kind === "reading") return this.lookAt(candidate);
    const cost = costOf(this.state, withoutNeeds(candidate));
    this.minutes += cost.fixed;
    if (candidate.change) {
      this.noteParts(candidate.change.fit ?? {});
      this.alter({ kind: "change", id: this.nextId(), ...candidate.change });
    }
    if (candidate.repair) this.repair(candidate.repair);
    this.minutes += this.start(candidate.conditions, n, stopEarly) * cost.perStart;
  }

  private nextId = (): string => `e${this.ticket.entries.length + 1}`;

  private record(entry: Entry): void {
    this.ticket = { ...this.ticket, entries: [...this.ticket.entries, entry] };
    this.state = step(this.state, entry);
  }

  private alter(entry: Extract<Entry, { kind: "change" | "repair" }>): void {
    this.machine = alter(this.machine, entry, this.luck);
    this.record(entry);
  }

  private lookAt(candidate: Extract<Candidate, { kind: "finding" | "reading" }>): void {
    this.minutes += costOf(this.state, candidate).fixed;
    const on = candidate.on === null ? {} : { on: candidate.on };
    if (candidate.kind === "finding") {
      const { finding } = candidate;
      const luck = this.luck.of(`finding ${finding.id} ${candidate.on}`);
      const value = finding.values[look(this.machine, finding, candidate.on, luck)]!.id;
      this.record({ kind: "finding", id: this.nextId(), finding: finding.id, value, ...on });
    } else {
      const { reading } = candidate;
      const luck = this.luck.of(`reading ${reading.id} ${candidate.on}`);
      const value = read(this.machine, reading, candidate.on, luck);
      this.record({ kind: "reading", id: this.nextId(), reading: reading.id, value, ...on });
    }
  }

  /** @returns starts made */
  private start(conditions: Record<string, string>, n: number, stopEarly: boolean, reach?: number): number {
    const clean = this.machine.truth.model.outcomeIds.length - 1;
    const trials = new Map<number, number>();
    let made = 0;
    while (made < n) {
      const { machine, outcome } = start(this.machine, conditions, this.luck.of("starts"), this.arrival.seed);
      this.machine = machine;
      made++;
      trials.set(outcome, (trials.get(outcome) ?? 0) + 1);
      if (stopEarly && outcome < clean) break;
      if (reach !== undefined && outcome >= reach) break;
    }
    if (made === 0) return 0;
    if (reach === undefined)
      this.seen = { clean: trials.get(clean) ?? 0, stops: made - (trials.get(clean) ?? 0) };
    this.record({
      kind: "starts",
      id: this.nextId(),
      ...(Object.keys(conditions).length > 0 && { conditions }),
      trials: [...trials].map(([outcome, count]) => ({
        outcome: this.machine.truth.model.outcomeIds[outcome]!,
        n: count,
      })),
    });
    return made;
  }

  private repair({ repair, on }: RepairOn): void {
    if (repair.needs) this.reach(repair.needs.reach);
    if (repair.cost !== undefined) this.materials += numberOf(repair.cost);
    if (repair.damage && this.luck.of("damage")() < numberOf(repair.damage.chance))
      this.materials += numberOf(repair.damage.cost);
    this.alter({ kind: "repair", id: this.nextId(), repair: repair.id, ...(on !== null && { on }) });
  }

  /** Starts until one reaches the stage; where none does, it is done the hard way. */
  private reach(stage: string): void {
    const { model } = this.state.belief;
    const reach = model.outcomeIds.indexOf(stage);
    const before = this.ticket.entries.length;
    const made = this.start({}, this.prices.tries, false, reach);
    this.minutes += made * numberOf(model.catalog.trialMinutes);
    const last = this.ticket.entries[before];
    const reached =
      last?.kind === "starts" &&
      last.trials.some((t) => model.outcomeIds.indexOf(String(t.outcome)) >= reach);
    if (!reached) this.minutes += this.prices.hardWay;
  }

  // parts

  private partOf = (id: string) => this.ticket.machine.parts.find((p) => p.id === id)!;

  private priceOf = (id: string): number => this.partOf(id).price ?? 0;

  /** Parts of the shop's that a change puts in: bought where none is at hand, rightly where what it replaces was bad. */
  private noteParts(fit: Record<string, string | null>): void {
    const intake = intakeSetup(this.state.belief.model).fit;
    for (const [position, id] of Object.entries(fit)) {
      if (id === null || this.partOf(id).spare !== true) continue;
      const known = this.fitted.get(id);
      const replaced = intake[position] ?? null;
      const rightly = (known?.rightly ?? false) || (replaced !== null && this.hasActive(replaced));
      const bought = (known?.bought ?? false) || this.partOf(id).atHand === false;
      this.fitted.set(id, { part: id, rightly, bought });
      if (this.partOf(id).atHand === false) this.nowAtHand(id);
    }
  }

  private hasActive(part: string): boolean {
    const { truth, active, quieted } = this.machine;
    return [...active, ...quieted].some((k) => truth.model.causes[truth.causes[k]!]!.part === part);
  }

  /** What was bought lies on the shelf from now on: it is not paid for twice. */
  private nowAtHand(id: string): void {
    const parts = this.ticket.machine.parts.map((p) => (p.id === id ? { ...p, atHand: true } : p));
    this.ticket = { ...this.ticket, machine: { ...this.ticket.machine, parts } };
    const { belief } = this.state;
    this.state = { ...this.state, belief: { ...belief, model: { ...belief.model, ticket: this.ticket } } };
  }

  /** Parts at the end: those that stay are paid for in full, those bought in vain in part. */
  settled(): { parts: number; wrong: number } {
    const stays = new Set(Object.values(this.setup.fit));
    let [parts, wrong] = [0, 0];
    for (const { part, rightly, bought } of this.fitted.values()) {
      if (stays.has(part)) parts += this.priceOf(part);
      else if (bought) parts += this.prices.restocking * this.priceOf(part);
      if (!rightly && (bought || stays.has(part))) wrong++;
    }
    return { parts, wrong };
  }

  get setup(): Setup {
    return this.state.place.setup;
  }
}

/** The tries that a repair needs are made, not expected. */
export function withoutNeeds(candidate: Candidate): Candidate {
  if (candidate.kind !== "repair" || !candidate.repair?.repair.needs) return candidate;
  const { needs: _, ...repair } = candidate.repair.repair;
  return { ...candidate, repair: { ...candidate.repair, repair } };
}
