/** How a machine is used at its owner's, in words. */
import type { Catalog } from "../catalog/schema.js";
import type { ReleaseView } from "../weighing.js";

/** "in 30 days of 1 start a day", "in 30 days of 1 cold and 3 warm starts a day" */
export function usageWords({ use, days }: Pick<ReleaseView, "use" | "days">, catalog: Catalog): string {
  const each = use.map(({ conditions, perDay }) => {
    const names = (catalog.conditions ?? []).flatMap((c) => {
      const id = conditions[c.id];
      const own = c.classes.find((x) => x.id === id);
      return own ? [own.name.toLowerCase()] : [];
    });
    return [figure(perDay), ...names].join(" ");
  });
  const one = use.length === 1 && use[0]!.perDay === 1;
  return `in ${figure(days)} days of ${each.join(" and ")} ${one ? "start" : "starts"} a day`;
}

const figure = (value: number): string => String(Number(value.toPrecision(3)));
