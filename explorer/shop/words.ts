/** The shop's page in sentences. Pure. */
import { listed } from "../bench/format.js";
import type { Restored } from "../store/restore.js";
import type { Room } from "../store/room.js";

const MEGABYTE = 1e6;

/** 1 → "1 ticket", 3 → "3 tickets" */
const counted = (n: number, thing: string): string => `${n} ${thing}${n === 1 ? "" : "s"}`;

const megabytes = (bytes: number): string =>
  bytes < MEGABYTE ? "less than 1 MB" : `${Math.round(bytes / MEGABYTE).toLocaleString("en-GB")} MB`;

export function keeping(tickets: number, { promised, taken, most }: Room): string {
  const size =
    taken === null ? "" : `, ${megabytes(taken)}${most === null ? "" : ` of at most ${megabytes(most)}`}`;
  const promise = promised
    ? "The browser has promised not to clear it on its own."
    : "The browser may clear it when the disk is full or the page long unused.";
  return `${counted(tickets, "ticket")}${size}. ${promise}`;
}

/** @param keeps  there is a database. @param allOfIt  no field holds what could not be saved */
export const savedWords = (keeps: boolean, allOfIt: boolean): string =>
  [
    keeps ? "Saved." : "Holds until the window is closed: there is no database.",
    ...(allOfIt ? [] : ["What is named below is left out."]),
  ].join(" ");

export function restoredWords({ tickets, takenOff, photos, catalogs, known, kept }: Restored): string {
  const came = listed(
    [
      counted(tickets, "ticket"),
      `${counted(takenOff, "ticket")} under “Taken off”`,
      counted(photos, "photograph"),
      counted(catalogs, "catalog"),
    ].filter((words) => !words.startsWith("0 ")),
  );
  return [
    came === "" ? "Nothing new was in the file." : `Restored: ${came}.`,
    ...(known > 0 ? [`${known} of its things were here already.`] : []),
    ...kept.map((what) => `Left as it is here: ${what}.`),
  ].join(" ");
}
