/** Time that passes by the clock with nobody standing by: rests and runs under load. Pure. */
import { plain } from "../words.js";
import type { Catalog } from "../../../engine/catalog/schema.js";
import type { TestView } from "../../../engine/weighing.js";

/** Minutes nobody stands by before or during each start of a test. */
export const restPerStart = ({ conditions }: Pick<TestView, "conditions">, catalog: Catalog): number =>
  (catalog.conditions ?? []).reduce((sum, condition) => {
    const id = conditions[condition.id] ?? condition.default;
    return sum + plain(condition.classes.find((c) => c.id === id)?.unattended ?? 0);
  }, 0);

/** "and 1 h by the clock", "and up to 3 h by the clock" for a row that may end early; "" without rests. */
export function waitingWords(test: TestView, catalog: Catalog): string {
  if (test.finding || test.reading) return "";
  const minutes = test.n * restPerStart(test, catalog);
  if (minutes === 0) return "";
  const hours = Number((minutes / 60).toFixed(1));
  return `${test.stopEarly && test.n > 1 ? "up to " : ""}${hours} h`;
}
