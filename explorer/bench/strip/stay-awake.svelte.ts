/**
 * While a test runs the screen stays on, where the browser can do it, and the clock outlives a reload: phones close pages
 * that nobody looks at for an hour.
 */
import { keepHere, keptHere } from "../../kept-here.js";
import type { Bench } from "../bench.svelte.js";
import { UnderWay, type KeptUnderWay } from "./under-way.svelte.js";

const keyOf = (bench: Bench) => `under-way:${bench.ticket.id}`;

/** To be called while a component is made. */
export function stayAwake(bench: Bench): void {
  const key = keyOf(bench);
  bench.underWay ??= restored(keptHere(key));
  $effect(() => {
    keepHere(key, bench.underWay && JSON.stringify(bench.underWay.kept));
  });
  $effect(() => {
    if (!bench.underWay) return;
    let lock: WakeLockSentinel | null = null;
    let over = false;
    const ask = async () => {
      if (over || document.visibilityState !== "visible") return;
      // refused on low battery or in a page that may not ask: the screen then sleeps as it always did
      lock = (await navigator.wakeLock?.request("screen").catch(() => null)) ?? null;
      if (over) await lock?.release();
    };
    void ask();
    document.addEventListener("visibilitychange", ask); // the browser takes the lock back with every look away
    return () => {
      over = true;
      document.removeEventListener("visibilitychange", ask);
      void lock?.release();
    };
  });
}

function restored(text: string | null): UnderWay | null {
  try {
    return text === null ? null : UnderWay.from(JSON.parse(text) as KeptUnderWay);
  } catch {
    return null;
  }
}
