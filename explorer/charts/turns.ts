/** Drawings take turns, one after each frame that is painted, so that no press has to wait for several of them. */
import { painted } from "../painted.js";

const waiting = new Map<object, () => void>();
let taking = false;

/** What a figure asked for before and has not been given is forgotten. */
export function inTurn(figure: object, draw: () => void): void {
  waiting.set(figure, draw);
  if (!taking) void takeTurns();
}

/** Draws at once what the figure waits for. */
export function outOfTurn(figure: object): void {
  const draw = waiting.get(figure);
  waiting.delete(figure);
  draw?.();
}

export const forget = (figure: object): boolean => waiting.delete(figure);

async function takeTurns(): Promise<void> {
  taking = true;
  try {
    for (await painted(); waiting.size > 0; await painted()) outOfTurn(waiting.keys().next().value!);
  } finally {
    taking = false;
  }
}
