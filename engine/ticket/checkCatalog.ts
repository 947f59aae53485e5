/**
 * What the schema cannot say of a catalog: ids that must exist, chances that must add up, expressions that must compile.
 */
import type { Catalog, CauseTemplate, Release, Target } from "../catalog/schema.js";
import { compileExposure, questionsOf } from "../catalog/exposure.js";
import { numberOf } from "../catalog/figures.js";
import type { Issue } from "../weighing.js";
import { issue } from "../issue.js";
import { unknownId } from "./parse.js";

/** Room for rounding of chances written as decimals. */
const SUM_WITHIN = 1e-9;
const RESERVED = ["is", "count", "at", "filled", "min", "max", "abs", "exp", "log", "sqrt", "floor", "ceil", "round", "true", "false", "and", "or", "not", "mod", "to", "in"]; // prettier-ignore

/** Every fault of a catalog; `root` goes before each path. */
export function checkCatalog(catalog: Catalog, root: string): Issue[] {
  const checks = new CatalogCheck(catalog, root === "" ? "" : `${root}.`);
  return checks.all();
}

/** Every fault of cause templates written in a ticket. */
export function checkTemplates(catalog: Catalog, templates: readonly CauseTemplate[], root: string): Issue[] {
  const checks = new CatalogCheck(catalog, "");
  templates.forEach((template, k) => {
    if (catalog.causes.some((c) => c.id === template.id))
      checks.issues.push(
        issue(`${root}[${k}].id`, `"${template.id}", which the catalog has`, "an id of its own"),
      );
    checks.template(template, `${root}[${k}]`);
  });
  return checks.issues;
}

/** Every fault of terms of release, the catalog's or a ticket's: conditions and classes that the catalog must have. */
export function checkRelease(catalog: Catalog, release: Release | undefined, root: string): Issue[] {
  if (typeof release?.perDay !== "object") return [];
  const conditions = catalog.conditions ?? [];
  return release.perDay.flatMap((use, k) =>
    Object.entries(use.conditions).flatMap(([id, value]) => {
      const path = `${root}.perDay[${k}].conditions.${id}`;
      const classes = conditions.find((c) => c.id === id)?.classes;
      if (!classes) return [unknownId(path, id, "the condition", ids(conditions))];
      return ids(classes).includes(value) ? [] : [unknownId(path, value, "the class", ids(classes))];
    }),
  );
}

const ids = (list: readonly { id: string }[] | undefined): string[] => (list ?? []).map((x) => x.id);

class CatalogCheck {
  issues: Issue[] = [];
  private readonly stages: string[];
  private readonly kinds: string[];
  private readonly places: string[];
  private readonly templates: string[];

  constructor(
    private readonly catalog: Catalog,
    private readonly root: string,
  ) {
    this.stages = ids(catalog.stages);
    this.kinds = ids(catalog.parts);
    this.places = [...new Set(catalog.positions.map((p) => p.kind))];
    this.templates = ids(catalog.causes);
  }

  all(): Issue[] {
    const { catalog } = this;
    this.unique();
    this.shares();
    this.signature(catalog.leak.signature, "leak.signature");
    catalog.positions.forEach((p, k) => {
      this.known(`positions[${k}].accepts`, p.accepts, "the part kind", this.kinds);
      if (p.on !== undefined) this.known(`positions[${k}].on`, p.on, "the part kind", this.kinds);
    });
    catalog.parts.forEach((p, k) => this.cautions(p.cautions, `parts[${k}]`));
    (catalog.settings ?? []).forEach((s, k) => {
      this.known(`settings[${k}].default`, s.default, "the value", ids(s.values));
      (s.touches ?? []).forEach((t, j) =>
        this.known(`settings[${k}].touches[${j}]`, t, "the cause", this.templates),
      );
      this.cautions(s.cautions, `settings[${k}]`);
    });
    this.conditions();
    catalog.causes.forEach((template, k) => this.template(template, `causes[${k}]`));
    this.findings();
    this.readings();
    this.repairs();
    this.usualMachine();
    this.issues.push(...checkRelease(catalog, catalog.release, `${this.root}release`));
    return this.issues;
  }

  private known(path: string, id: string, what: string, list: readonly string[]): void {
    if (!list.includes(id)) this.issues.push(unknownId(this.root + path, id, what, list));
  }

  private add(path: string, found: string, expected: string): void {
    this.issues.push(issue(this.root + path, found, expected));
  }

  private unique(): void {
    const { catalog } = this;
    const lists = { stages: catalog.stages, parts: catalog.parts, positions: catalog.positions, settings: catalog.settings, conditions: catalog.conditions, causes: catalog.causes, events: catalog.events, findings: catalog.findings, readings: catalog.readings, repairs: catalog.repairs, cautions: catalog.cautions }; // prettier-ignore
    for (const [name, list] of Object.entries(lists)) this.distinct(ids(list), name);
    (catalog.settings ?? []).forEach((s, k) => this.distinct(ids(s.values), `settings[${k}].values`));
    (catalog.findings ?? []).forEach((f, k) => this.distinct(ids(f.values), `findings[${k}].values`));
    (catalog.conditions ?? []).forEach((c, k) => this.distinct(ids(c.classes), `conditions[${k}].classes`));
    if (this.stages.includes("clean"))
      this.add("stages", `a stage named "clean"`, "stages only: clean comes after the last");
  }

  private distinct(list: readonly string[], name: string): void {
    list.forEach((id, k) => {
      if (list.indexOf(id) !== k) this.add(`${name}[${k}].id`, `"${id}" a second time`, "an id of its own");
    });
  }

  private shares(): void {
    const [nothing, unlisted] = [numberOf(this.catalog.nothingWrong), numberOf(this.catalog.unlisted)];
    if (nothing + unlisted > 1)
      this.add("unlisted", `${nothing} + ${unlisted}, above 1`, "nothingWrong + unlisted of at most 1");
  }

  private signature(signature: Record<string, number>, path: string): void {
    for (const id of Object.keys(signature)) this.known(`${path}.${id}`, id, "the stage", this.stages);
    this.sumsToOne(signature, path);
  }

  private sumsToOne(chances: Record<string, number>, path: string): void {
    const sum = Object.values(chances).reduce((s, p) => s + p, 0);
    if (!(Math.abs(sum - 1) <= SUM_WITHIN)) this.add(path, `chances that add up to ${sum}`, "a sum of 1");
  }

  private conditions(): void {
    (this.catalog.conditions ?? []).forEach((c, k) => {
      const path = `conditions[${k}]`;
      if (!/^[A-Za-z_]\w*$/.test(c.id) || RESERVED.includes(c.id))
        this.add(
          `${path}.id`,
          `"${c.id}"`,
          "a name that an exposure can use: letters, digits and _, not a word of its own",
        );
      this.known(`${path}.default`, c.default, "the class", ids(c.classes));
      c.classes.forEach((x, j) => {
        const [from, next] = [x.from, c.classes[j + 1]?.from ?? Infinity];
        if (j === 0 && from !== 0) this.add(`${path}.classes[0].from`, `${from}`, "0");
        if (!(from < next)) this.add(`${path}.classes[${j + 1}].from`, `${next}`, `more than ${from}`);
        if (!(x.typical >= from && x.typical < next))
          this.add(`${path}.classes[${j}].typical`, `${x.typical}`, `minutes from ${from} to below ${next}`);
      });
    });
  }

  template(template: CauseTemplate, path: string): void {
    const { per } = template;
    if (typeof per === "object" && "part" in per)
      this.known(`${path}.per.part`, per.part, "the part kind", this.kinds);
    if (typeof per === "object" && "position" in per)
      this.known(`${path}.per.position`, per.position, "the position kind", this.places);
    this.signature(template.signature, `${path}.signature`);
    for (const id of Object.keys(template.events ?? {}))
      this.known(`${path}.events.${id}`, id, "the event", ids(this.catalog.events));
    if (template.contact && template.reseat === undefined)
      this.add(`${path}.reseat`, "nothing", "the efficacy of reseating, as it is a contact");
    try {
      for (const [asked, name = "", value = ""] of questionsOf(template.exposure ?? 1))
        this.question(asked!, name, value, `${path}.exposure`);
      compileExposure(template.exposure ?? 1, ids(this.catalog.conditions));
    } catch (error) {
      this.add(
        `${path}.exposure`,
        `${JSON.stringify(template.exposure)} (${(error as Error).message})`,
        "an expression that can be weighed",
      );
    }
  }

  /** A question about something that does not exist would be answered 0 for ever. */
  private question(asked: string, name: string, value: string, path: string): void {
    const { settings, conditions, positions } = this.catalog;
    if (asked === "count") return this.known(path, name, "the part kind", this.kinds);
    if (asked !== "is") return this.known(path, name, "the position", ids(positions));
    const one =
      settings?.find((s) => s.id === name)?.values ?? conditions?.find((c) => c.id === name)?.classes;
    if (one) this.known(path, value, "the value", ids(one));
    else this.known(path, name, "the setting or condition", [...ids(settings), ...ids(conditions)]);
  }

  private findings(): void {
    (this.catalog.findings ?? []).forEach((f, k) => {
      const path = `findings[${k}]`;
      this.target(f.on, `${path}.on`);
      this.cautions(f.cautions, path);
      const values = ids(f.values);
      for (const v of values.slice(0, -1))
        if (!(Object.hasOwn(f.base, v) && f.base[v]! > 0))
          this.add(`${path}.base.${v}`, Object.hasOwn(f.base, v) ? "0" : "nothing", "a chance above 0");
      this.effects(f.base, values, `${path}.base`);
      for (const [id, effect] of Object.entries(f.causes)) {
        this.known(`${path}.causes.${id}`, id, "the cause", this.templates);
        this.effects(effect, values, `${path}.causes.${id}`);
      }
    });
  }

  private effects(effect: Record<string, number>, values: readonly string[], path: string): void {
    for (const id of Object.keys(effect)) this.known(`${path}.${id}`, id, "the value", values.slice(0, -1));
    const sum = Object.values(effect).reduce((s, p) => s + p, 0);
    if (sum > 1 + SUM_WITHIN) this.add(path, `chances that add up to ${sum}`, "a sum of at most 1");
  }

  private readings(): void {
    (this.catalog.readings ?? []).forEach((r, k) => {
      const path = `readings[${k}]`;
      this.target(r.on, `${path}.on`);
      this.cautions(r.cautions, path);
      if (!(r.range[0] < r.range[1]))
        this.add(`${path}.range`, `[${r.range.join(", ")}]`, "a lower and a higher number");
      for (const id of Object.keys(r.causes))
        this.known(`${path}.causes.${id}`, id, "the cause", this.templates);
    });
  }

  private repairs(): void {
    (this.catalog.repairs ?? []).forEach((r, k) => {
      const path = `repairs[${k}]`;
      this.target(r.on, `${path}.on`);
      this.cautions(r.cautions, path);
      for (const id of Object.keys(r.clears))
        this.known(`${path}.clears.${id}`, id, "the cause", this.templates);
      for (const [id, value] of Object.entries(r.sets ?? {})) {
        this.known(`${path}.sets.${id}`, id, "the setting", ids(this.catalog.settings));
        const setting = this.catalog.settings?.find((s) => s.id === id);
        if (setting) this.known(`${path}.sets.${id}`, value, "the value", ids(setting.values));
      }
      if (r.needs) this.known(`${path}.needs.reach`, r.needs.reach, "the outcome", [...this.stages, "clean"]);
    });
  }

  private target(on: Target, path: string): void {
    if (on === "machine") return;
    if ("part" in on) this.known(`${path}.part`, on.part, "the part kind", this.kinds);
    else this.known(`${path}.position`, on.position, "the position kind", this.places);
  }

  private cautions(list: readonly string[] | undefined, path: string): void {
    (list ?? []).forEach((id, k) =>
      this.known(`${path}.cautions[${k}]`, id, "the caution", ids(this.catalog.cautions)),
    );
  }

  private usualMachine(): void {
    this.catalog.machine?.parts.forEach((p, k) => {
      this.known(`machine.parts[${k}].kind`, p.kind, "the part kind", this.kinds);
      this.known(`machine.parts[${k}].position`, p.position, "the position", ids(this.catalog.positions));
    });
  }
}
