/** The worksheet of the record that a cell stands in. */
import { createContext } from "svelte";
import type { Worksheet } from "./worksheet.svelte.js";

const [get, set] = createContext<Worksheet>();
export const worksheet = get;
export const provideWorksheet = set;
