/** Ids of the rows of starts whose list stands open: a row that moves to another group of the record is made anew. */
import { createContext } from "svelte";
import type { SvelteSet } from "svelte/reactivity";

const [get, set] = createContext<SvelteSet<string>>();
export const openedRows = get;
export const provideOpenedRows = set;
