/** What the machine in use lacks to be tried at all. Pure. */
import { fittedNow, intakeSetup, OWN, type Setup } from "../../../engine/ticket/setup.js";
import { inSentence } from "../format.js";
import type { Words } from "../words.js";

/** A sentence; "" where nothing is missing. What was not fitted as it came in, the ticket may just not say. */
export function missingFrom(setup: Setup, words: Words): string {
  const missing = [...emptyPlaces(setup, words), ...absentKinds(setup, words)];
  return missing.length === 0 ? "" : `It cannot be tried like this: ${missing.join(", ")}.`;
}

function emptyPlaces(setup: Setup, words: Words): string[] {
  const came = intakeSetup(words).fit;
  const now = fittedNow(setup);
  return words.catalog.positions
    .filter(({ id, needed }) => needed && now[id] === null && (setup.in !== OWN || came[id] !== null))
    .map(({ name }) => `${inSentence(name)} empty`);
}

/** Of these one at least must be fitted, wherever; a donor fills its own places, which are not named. */
function absentKinds(setup: Setup, words: Words): string[] {
  if (setup.in !== OWN) return [];
  const [came, now] = [intakeSetup(words).fit, setup.fit].map((fit) => kindsIn(fit, words));
  return words.catalog.parts
    .filter(({ id, needsOne }) => needsOne && came!.has(id) && !now!.has(id))
    .map(({ name }) => `no ${inSentence(name)} fitted`);
}

function kindsIn(fit: Setup["fit"], { ticket }: Words): Set<string> {
  const fitted = new Set(Object.values(fit));
  return new Set(ticket.machine.parts.filter(({ id }) => fitted.has(id)).map(({ kind }) => kind));
}
