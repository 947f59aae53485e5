/** What a prior that is wrong would change, in sentences. Pure. */
import type { Advice, SensitivityMove, SensitivityView, Weighing } from "../../../engine/weighing.js";
import { NONE, UNLISTED } from "../../charts/rows.js";
import { percent } from "../format.js";

export interface WhatIf {
  /** what leads now, and how likely it is */
  now: string;
  moves: { id: string; text: string }[];
}

export function whatIf(view: SensitivityView, { causes }: Weighing, advice: Advice | null): WhatIf {
  const own: Record<string, string> = { [NONE]: "Nothing wrong", [UNLISTED]: "Not on the list" };
  const nameOf = (id: string) => causes.find((cause) => cause.id === id)?.name ?? own[id] ?? id;
  const testOf = (id: string) =>
    (advice?.tests.find((test) => test.id === id)?.title ?? id).replace(/\.$/, "");
  const moved = ({ prior, factor, leading, p, former, test }: SensitivityMove) => {
    const how = factor > 1 ? `${factor} times as likely` : `${Math.round(1 / factor)} times less likely`;
    const ahead =
      leading === view.leading
        ? []
        : [`${nameOf(leading)} would lead with ${percent(p)}, ${nameOf(view.leading)} would have ${percent(former)}`]; // prettier-ignore
    const next = test === null ? [] : [`the next test would be: ${testOf(test)}`];
    return `${nameOf(prior)} ${how} before the record: ${[...ahead, ...next].join("; ")}.`;
  };
  const first = view.test === null ? "" : ` By one start or look, what tells most is: ${testOf(view.test)}.`;
  return {
    now: `${nameOf(view.leading)} leads with ${percent(view.p)}.${first}`,
    moves: view.moves.map((move) => ({ id: `${move.prior} ${move.factor}`, text: moved(move) })),
  };
}
