import type { State } from "./fold.js";
import { letGo } from "./spare.js";

/** The weights of the states that were made, so that those that no living one has can be filled again. */
export class Living {
  readonly #made = new Set<Float64Array>();

  made(state: State): State {
    this.#made.add(weightsOf(state));
    return state;
  }

  /** @param states  all that anybody will ask again */
  only(states: readonly (State | null | undefined)[]): void {
    const living = new Set(states.flatMap((state) => (state ? [weightsOf(state)] : [])));
    for (const weights of this.#made) {
      if (living.has(weights)) continue;
      this.#made.delete(weights);
      letGo(weights);
    }
  }
}

const weightsOf = ({ belief }: State) => belief.grid.values;
