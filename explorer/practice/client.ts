/** The practice machines, behind their worker. */
import { Caller } from "../store/caller.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Answers, Question, Refused } from "./messages.js";

export type Ask = <Q extends Question>(
  question: Q,
  onpart?: (part: { done: number; of: number }) => void,
) => Promise<Answers[Q["ask"]] | Refused>;

const makeWorker = () => new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });

/** Asks the machines of these catalogs. */
export function machines(catalogs: () => readonly Catalog[]): Ask {
  const caller = new Caller(makeWorker);
  return (question, onpart) =>
    caller.ask({ ...question, catalogs: catalogs() }, (part) =>
      onpart?.(part as { done: number; of: number }),
    );
}
