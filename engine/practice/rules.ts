/** What pages and engine agree on about a practice record; nothing heavy is imported with it. */

/** Stands beside starts that were made to get one which a repair needs: the repair makes them anew. */
export const FOR_THE_REPAIR = "to get a start that the repair needs";

/** Stands beside what was set when the machine came to the bench: what is moved later is an entry of its own. */
export const AS_IT_CAME = "as it came to the bench";

/** What a hint costs, of a hundred points. */
export const HINT = 5;

/** A value as text that does not depend on the order of its keys: a record that went through a file has another. */
export const textOf = (value: unknown): string =>
  JSON.stringify(value, (_, part: unknown) =>
    typeof part === "object" && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([x], [y]) => (x < y ? -1 : 1)))
      : part,
  );
