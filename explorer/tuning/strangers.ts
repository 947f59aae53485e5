/** Words of a table that its catalog does not know, so that a person can say what they mean. */
import { NONE, UNLISTED, type Space } from "../../engine/learn/space.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import { proposeCause, Words, type Matching } from "../../engine/learn/table/matching.js";
import type { TableCount } from "../../engine/learn/table/reader.js";
import type { Rejection } from "../../engine/learn/table/row.js";

export type WordColumn = "cause" | "stage" | "repair" | "events";

export interface Stranger {
  column: WordColumn;
  word: string;
  rows: number;
  /** what it may mean */
  proposal: string | null;
}

/** As many different words of a column as anybody would ever name; free text has no two alike. */
const MOST = 1000;

/** Strange words of stages, repairs and events, from the rows rejected for them; those of causes are counted by the engine. */
export class Strangers {
  readonly #known: Map<string, Words>;
  readonly #found = new Map<string, Stranger>();

  constructor(
    private readonly space: Space,
    said: Matching["words"],
  ) {
    const { stages, repairs = [], events = [] } = space.catalog;
    this.#known = new Map(
      Object.entries({ stage: stages, repair: repairs, events }).map(([column, list]) => [
        column,
        new Words(list, said),
      ]),
    );
  }

  add({ column, found: word }: Rejection): void {
    if (this.#known.get(column)?.of(word) !== null) return; // rejected for something else
    if (word.endsWith("…")) return; // cut short: nothing in the table would be like it
    const key = `${column} ${word}`;
    const before = this.#found.get(key);
    if (before) before.rows++;
    else if (this.#found.size < MOST)
      this.#found.set(key, { column: column as WordColumn, word, rows: 1, proposal: null });
  }

  /** @param causes  as the engine counted them */
  with(causes: TableCount["strangers"]): Stranger[] {
    const ofCauses = causes.map(({ word, rows }): Stranger => {
      return { column: "cause", word, rows, proposal: proposeCause(word, this.space) };
    });
    return [...ofCauses, ...[...this.#found.values()].sort((x, y) => y.rows - x.rows)];
  }
}

interface Meaning {
  id: string;
  name: string;
}

/** What a word of a column can mean. An empty id: nothing is told by it. */
export function meaningsOf(
  column: WordColumn,
  { causes, stages, repairs = [], events = [] }: Catalog,
): Meaning[] {
  const list = { cause: causes, stage: stages, repair: repairs, events }[column];
  const named = list.map(({ id, name }) => ({ id, name }));
  if (column !== "cause") return [{ id: "", name: "nothing: pass over the word" }, ...named];
  return [
    { id: "", name: "nothing was confirmed" },
    { id: NONE, name: "nothing was wrong" },
    { id: UNLISTED, name: "something not on the list" },
    ...named,
  ];
}
