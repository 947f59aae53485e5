/** Pictures drawn before they are wanted, in turn, and known again by what they show. */
import type { Picture } from "./picture.js";
import { forget, inTurn } from "./turns.js";

export class Ahead {
  readonly #drawn = new Map<string, Picture>();

  get(keyOf: () => string): Picture | undefined {
    return this.#drawn.size > 0 ? this.#drawn.get(keyOf()) : undefined;
  }

  /** Has these ready, and lets go of all others. */
  prepare(wanted: ReadonlyMap<string, () => Picture>): void {
    for (const key of this.#drawn.keys()) if (!wanted.has(key)) this.#drawn.delete(key);
    this.#next(wanted);
  }

  forget(): void {
    forget(this);
  }

  #next(wanted: ReadonlyMap<string, () => Picture>): void {
    const missing = [...wanted].find(([key]) => !this.#drawn.has(key));
    if (!missing) return void forget(this);
    const [key, draw] = missing;
    inTurn(this, () => {
      this.#drawn.set(key, draw());
      this.#next(wanted);
    });
  }
}
