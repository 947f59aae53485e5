/** In a sentence or two what a suspect depends on, and how much the next start exercises it. Pure. */
import type { Dependence } from "../../../engine/ticket/dependence.js";
import type { CauseView } from "../../../engine/weighing.js";
import { HARDLY } from "../../charts/exposure-rows.js";
import { inSentence, listed } from "../format.js";
import type { Words } from "../words.js";

export function dependenceWords(
  { parts, position }: Pick<CauseView, "parts" | "position">,
  depends: Dependence | undefined,
  words: Words,
): string {
  const { catalog } = words;
  const own = [
    ...parts.map((id) => inSentence(words.part(id))),
    ...(position === null ? [] : [inSentence(words.position(position))]),
  ];
  const tied = own.length === 0 ? "Tied to the machine as a whole" : `Sits in ${listed(own)}`;
  if (!depends) return `${tied}.`;
  const also = [
    ...depends.positions.filter((id) => id !== position).map((id) => inSentence(words.position(id))),
    ...[...(catalog.settings ?? []), ...(catalog.conditions ?? [])]
      .filter(({ id }) => depends.settings.includes(id) || depends.conditions.includes(id))
      .map(({ name }) => inSentence(name)),
  ];
  const on = also.length === 0 ? "" : `; depends on ${listed(also)}`;
  return `${tied}${on}. The next start ${exercised(depends.exposure)}.`;
}

function exercised(exposure: number): string {
  if (exposure === 0) return "does not exercise it";
  if (exposure < HARDLY) return "hardly exercises it";
  const usual = exposure > 0.95 && exposure < 1.05;
  return usual ? "exercises it as a usual one does" : `exercises it ${exposure.toPrecision(2)} times as much as a usual one`; // prettier-ignore
}
