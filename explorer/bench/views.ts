/**
 * What each entry of a record taught. Belief comes without what was to be expected of an entry, which is worked out later
 * and stands as long as the entry and all before it do.
 */
import type { EntryView, Warning, Weighing } from "../../engine/weighing.js";

export class Views {
  #bare: readonly EntryView[] = [];
  readonly #full = new WeakMap<EntryView, EntryView>();

  /** A new belief, with what is known already of its entries and of those that surprise. */
  weighed(weighing: Weighing, before: Weighing | null): Weighing {
    this.#bare = weighing.entries;
    const entries = weighing.entries.map((view) => this.#full.get(view) ?? view);
    const known = new Set(entries.filter((view) => view.expected !== null).map((view) => view.id));
    const stands = ({ code, entry }: Warning) => code === "conflict" && entry !== null && known.has(entry);
    const warnings = [...weighing.warnings, ...(before?.warnings.filter(stands) ?? [])];
    return { ...weighing, entries, warnings };
  }

  /** The same belief with everything. */
  proved(weighing: Weighing): Weighing {
    weighing.entries.forEach((view, k) => this.#full.set(this.#bare[k]!, view));
    return weighing;
  }
}
