/** What a catalog refers to by id and does not define. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Problem } from "./walk.js";

const CLEAN = "clean";

/** Every reference that leads nowhere. */
export function dangling(catalog: Catalog): Problem[] {
  const ids = (list: readonly { id: string }[] | undefined) => new Set((list ?? []).map((item) => item.id));
  const stages = ids(catalog.stages);
  const known = {
    stage: stages,
    outcome: new Set([...stages, CLEAN]),
    "part kind": ids(catalog.parts),
    "position kind": new Set(catalog.positions.map((p) => p.kind)),
    position: ids(catalog.positions),
    part: ids(catalog.machine?.parts),
    event: ids(catalog.events),
    caution: ids(catalog.cautions),
    setting: ids(catalog.settings),
    cause: ids(catalog.causes),
  };
  const problems: Problem[] = [];
  const look = (what: keyof typeof known, path: string, names: readonly (string | undefined)[]) => {
    for (const name of names)
      if (name !== undefined && !known[what].has(name))
        problems.push({ path, found: name, expected: `the id of a ${what}` });
  };
  const value = (path: string, setting: string, id: string) => {
    look("setting", path, [setting]);
    const values = catalog.settings?.find((s) => s.id === setting)?.values ?? [];
    if (!ids(values).has(id)) problems.push({ path, found: id, expected: `a value of ${setting}` });
  };
  const target = (path: string, on: string | { part: string } | { position: string }) => {
    if (typeof on === "string") return;
    if ("part" in on) look("part kind", path, [on.part]);
    else look("position kind", path, [on.position]);
  };

  look("stage", "leak.signature", Object.keys(catalog.leak.signature));
  for (const cause of catalog.causes) {
    const path = `causes.${cause.id}`;
    target(`${path}.per`, cause.per);
    look("stage", `${path}.signature`, Object.keys(cause.signature));
    look("event", `${path}.events`, Object.keys(cause.events ?? {}));
    asked(cause.exposure).forEach(([fn, args]) => {
      const where = `${path}.exposure`;
      if (fn === "count") look("part kind", where, [args[0]]);
      else if (fn === "filled" || fn === "at") look("position", where, [args[0]]);
      else if (!isCondition(catalog, args[0]!, args[1]!)) value(where, args[0]!, args[1]!);
    });
  }
  for (const position of catalog.positions) {
    const path = `positions.${position.id}`;
    look("part kind", path, [position.accepts, position.on]);
  }
  for (const part of catalog.parts) look("caution", `parts.${part.id}`, part.cautions ?? []);
  for (const setting of catalog.settings ?? []) {
    const path = `settings.${setting.id}`;
    value(`${path}.default`, setting.id, setting.default);
    look("cause", `${path}.touches`, setting.touches ?? []);
    look("caution", path, setting.cautions ?? []);
  }
  for (const condition of catalog.conditions ?? [])
    if (!ids(condition.classes).has(condition.default))
      problems.push({ path: `conditions.${condition.id}`, found: condition.default, expected: "the id of a class" });
  for (const finding of catalog.findings ?? []) {
    const path = `findings.${finding.id}`;
    target(`${path}.on`, finding.on);
    look("cause", path, Object.keys(finding.causes));
    look("caution", path, finding.cautions ?? []);
    const values = finding.values.map((v) => v.id);
    for (const [where, named] of [["base", finding.base], ...Object.entries(finding.causes)] as const)
      for (const id of Object.keys(named))
        if (!values.includes(id)) problems.push({ path: `${path}.${where}`, found: id, expected: "one of its values" });
    if (Object.keys(finding.base).join() !== values.slice(0, -1).join())
      problems.push({ path: `${path}.base`, found: Object.keys(finding.base).join(), expected: "every value but the last, in order" });
  }
  for (const reading of catalog.readings ?? []) {
    const path = `readings.${reading.id}`;
    target(`${path}.on`, reading.on);
    look("cause", path, Object.keys(reading.causes));
    look("caution", path, reading.cautions ?? []);
  }
  for (const repair of catalog.repairs ?? []) {
    const path = `repairs.${repair.id}`;
    target(`${path}.on`, repair.on);
    look("cause", path, Object.keys(repair.clears));
    look("caution", path, repair.cautions ?? []);
    look("outcome", `${path}.needs`, [repair.needs?.reach]);
    for (const [setting, id] of Object.entries(repair.sets ?? {})) value(`${path}.sets`, setting, id);
  }
  for (const part of catalog.machine?.parts ?? []) {
    const path = `machine.parts.${part.id}`;
    look("part kind", path, [part.kind]);
    look("position", path, [part.position]);
  }
  return problems;
}

const isCondition = (catalog: Catalog, id: string, value: string): boolean =>
  catalog.conditions?.find((c) => c.id === id)?.classes.some((c) => c.id === value) ?? false;

/** Names that an exposure asks about: [function, arguments]. */
function asked(exposure: string | number | undefined): [string, string[]][] {
  if (typeof exposure !== "string") return [];
  return [...exposure.matchAll(/\b(is|count|at|filled)\(([^)]*)\)/g)].map((match) => [
    match[1]!,
    [...match[2]!.matchAll(/"([^"]*)"/g)].map((text) => text[1]!),
  ]);
}
