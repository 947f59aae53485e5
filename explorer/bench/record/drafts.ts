/** Empty entries to fill in. Pure. */
import type { Entry } from "../../../engine/ticket/schema.js";
import type { TestView } from "../../../engine/weighing.js";
import type { Draft } from "../ticket-edits.js";

const TITLES: Record<Entry["kind"], string> = {
  intake: "What the owner saw",
  starts: "Starts counted or told",
  finding: "Something looked at",
  reading: "Something measured",
  change: "Parts and settings",
  repair: "A repair",
  note: "A note",
  worksheet: "Worksheet",
  release: "Release",
};
export const titleOf = (kind: Entry["kind"]): string => TITLES[kind];

export function draftOf(kind: Entry["kind"]): Draft {
  switch (kind) {
    case "starts":
      return { kind, trials: [] };
    case "finding":
      return { kind, finding: "", value: "" };
    case "reading":
      return { kind, reading: "", value: "" };
    case "repair":
      return { kind, repair: "" };
    case "change":
      return { kind, fit: {}, settings: {} };
    case "note":
      return { kind, text: "" };
    case "worksheet":
      return { kind, expression: "" };
    default:
      return { kind };
  }
}

/** The form that a started test wants filled in; null where its result is starts. */
export function draftOfTest(test: TestView): Draft | null {
  const on = (place: string | null) => (place === null ? {} : { on: place });
  if (test.finding) return { kind: "finding", finding: test.finding.id, value: "", ...on(test.finding.on) };
  if (test.reading) return { kind: "reading", reading: test.reading.id, value: "", ...on(test.reading.on) };
  return null;
}
