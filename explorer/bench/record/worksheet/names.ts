/** The facts of a cell under the names that an expression uses. Pure. */
import { calculate, isTaken, type Scope } from "./calculator.js";
import type { CauseFact, Facts } from "./facts.js";

/** Put into a fresh scope for every cell: each is told of its own place in the record. */
export function name(facts: Facts, scope: Scope): void {
  for (const cause of facts.causes) {
    const id = identifier(cause.name);
    if (id !== "" && !isTaken(id)) scope.set(id, cause.present);
  }
  scope.set("p", (text: unknown) => found(facts, text).present);
  scope.set("at_work", (text: unknown) => found(facts, text).atWork);
  scope.set("nothing_wrong", facts.none);
  scope.set("nothing_at_work", facts.nothingAtWork);
  scope.set("unlisted", facts.unlisted);
  calculate(`spent = ${facts.minutes} minute`, scope);
  scope.set("money", (facts.minutes / 60) * facts.perHour);
  scope.set("per_hour", facts.perHour);
  scope.set("starts", facts.starts);
  scope.set("failed", facts.failed);
  scope.set("clean", facts.starts - facts.failed);
}

/** "Standby rail weak · Own supply" → standby_rail_weak_own_supply */
export const identifier = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "_")
    .replace(/^[_0-9]+|_+$/g, "");

/** @throws {Error} where no cause, or more than one, goes by the name */
function found({ causes, none, unlisted, nothingAtWork }: Facts, text: unknown): CauseFact {
  const special = [
    { id: "none", name: "nothing wrong", present: none, atWork: nothingAtWork },
    { id: "unlisted", name: "not on the list", present: unlisted, atWork: unlisted },
  ];
  const all = [...causes, ...special];
  const wanted = String(text).trim().toLowerCase();
  const exact = all.find((c) => c.id.toLowerCase() === wanted || c.name.toLowerCase() === wanted);
  const fitting = all.filter((c) => wanted !== "" && c.name.toLowerCase().includes(wanted));
  if (exact ?? fitting.length === 1) return exact ?? fitting[0]!;
  const names = (fitting.length > 0 ? fitting : all).slice(0, 6).map((c) => `"${c.name}"`);
  throw new Error(
    `found ${fitting.length === 0 ? "no cause" : `${fitting.length} causes`} by the name "${wanted.slice(0, 60)}", expected one, such as ${names.join(", ")}`,
  );
}
