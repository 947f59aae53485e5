import type { Figure } from "./figures.js";

/** The plain number of a figure; apart from the schemas, so that a page need not fetch their library for it. */
export const numberOf = (figure: Figure): number => (typeof figure === "number" ? figure : figure.value);
