/** Works out worksheet cells apart from the page, where it can be stopped. */
import type { Answer } from "./calculator.js";
import type { Cell } from "./facts.js";
import { runCells } from "./run.js";

export type Said = { ready: true } | { id: string; answer: Answer } | { done: true };
const say = (said: Said) => self.postMessage(said);

self.onmessage = ({ data }: MessageEvent<Cell[]>) => {
  runCells(data, (id, answer) => say({ id, answer }));
  say({ done: true });
};
say({ ready: true });
