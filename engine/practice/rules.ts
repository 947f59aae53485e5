/** What pages and engine agree on about a practice record; nothing heavy is imported with it. */

/** Stands beside starts that were made to get one which a repair needs: the repair makes them anew. */
export const FOR_THE_REPAIR = "to get a start that the repair needs";

/** What a hint costs, of a hundred points. */
export const HINT = 5;
