/**
 * What each suspect depends on, and how much the next start exercises it. The code that reads exposures is fetched when
 * the page stands: nothing else needs it there.
 */
import { untrack } from "svelte";
import type { Dependence } from "../../../engine/ticket/dependence.js";
import type { Bench } from "../bench.svelte.js";

type Asks = typeof import("./dependence.js");

const NONE_YET: ReadonlyMap<string, Dependence> = new Map();

export class Exercise {
  #asks: Asks | null = $state.raw(null);
  failure: string | null = $state(null);

  constructor(private readonly bench: Bench) {
    import("./dependence.js").then(
      (asks) => (this.#asks = asks),
      (error: unknown) => (this.failure = error instanceof Error ? error.message : String(error)),
    );
  }

  // entries come and go; only another machine or another list of causes has to be read anew
  #machine = $derived.by(() => this.bench.ticket.machine);
  #own = $derived.by(() => this.bench.ticket.causes);
  // nor does a start change the setup
  #setup = $derived.by(() => this.bench.setups.now);
  #depends = $derived.by(() => {
    const [machine, causes] = [this.#machine, this.#own];
    const ticket = { ...untrack(() => this.bench.ticket), machine, ...(causes && { causes }) };
    return this.#asks?.dependencesByCause(this.bench.catalog, ticket) ?? null;
  });

  /** by cause id; empty until the code is there */
  readonly of: ReadonlyMap<string, Dependence> = $derived.by(
    () => this.#depends?.(this.#setup, this.bench.conditions) ?? NONE_YET,
  );
}
