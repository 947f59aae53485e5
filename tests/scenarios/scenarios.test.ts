/** The demo tickets in `scenarios/`: each one is valid, tells one record, and has its hidden truth beside it. */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { expand } from "../../engine/catalog/expand.js";
import { Catalog } from "../../engine/catalog/schema.js";
import { Ticket, type Entry } from "../../engine/ticket/schema.js";
import { z } from "zod";

const root = new URL("../../", import.meta.url);
const read = (path: string): unknown => JSON.parse(readFileSync(new URL(path, root), "utf8"));
const folders = readdirSync(new URL("scenarios/", root), { withFileTypes: true })
  .filter((item) => item.isDirectory() && existsSync(new URL(`scenarios/${item.name}/ticket.json`, root)))
  .map((item) => item.name);

const Truth = z.strictObject({
  ticket: z.string(),
  causes: z.array(z.strictObject({ cause: z.string(), rate: z.number().gt(0).max(1) })).min(1),
  story: z.string().min(1),
});

const catalog = Catalog.parse(read("priors/desktop.json"));

test("there are at least five demo tickets", () => expect(folders.length).toBeGreaterThanOrEqual(5));

describe.each(folders)("%s", (folder) => {
  const ticket = Ticket.parse(read(`scenarios/${folder}/ticket.json`));
  const ids = (list: readonly { id: string }[] | undefined) => (list ?? []).map((item) => item.id);
  const parts = ids(ticket.machine.parts);
  const positions = ids(catalog.positions);
  const outcomes = [...ids(catalog.stages), "clean"];

  test("names by concrete id what it hides, and nothing of it stands in the record", () => {
    const truth = Truth.parse(read(`scenarios/${folder}/truth.json`));
    expect(truth.ticket).toBe(ticket.id);
    const possible = [...ids(expand(catalog, ticket).causes), "unlisted"];
    for (const { cause } of truth.causes) {
      expect(possible).toContain(cause);
      expect(JSON.stringify(ticket)).not.toContain(cause);
    }
  });

  test("has 10 to 25 entries in the order of time, each with an id of its own", () => {
    expect(ticket.entries.length).toBeGreaterThanOrEqual(10);
    expect(ticket.entries.length).toBeLessThanOrEqual(25);
    expect(new Set(ids(ticket.entries)).size).toBe(ticket.entries.length);
    const times = ticket.entries.map((e) => e.at!);
    expect(times).toEqual([...times].sort());
    expect(ticket.entries[0]!.kind).toBe("intake");
  });

  test("says how many minutes everything took but notes", () => {
    for (const entry of ticket.entries) if (entry.kind !== "note") expect(entry.minutes, entry.id).toBeGreaterThan(0);
  });

  test("names only what the catalog and the machine have", () => {
    for (const entry of ticket.entries) expect(strangers(entry, { parts, positions, outcomes, ticket }), entry.id).toEqual([]);
    for (const { kind, position } of ticket.machine.parts) {
      expect(ids(catalog.parts)).toContain(kind);
      if (position !== undefined) expect(catalog.positions.find((p) => p.id === position)?.accepts).toBe(kind);
    }
    for (const { event } of ticket.machine.events ?? []) expect(ids(catalog.events)).toContain(event);
  });
});

/** Names in an entry that lead nowhere. */
function strangers(
  entry: Entry,
  { parts, positions, outcomes, ticket }: { parts: string[]; positions: string[]; outcomes: string[]; ticket: Ticket },
): string[] {
  const unknown = (names: readonly (string | undefined)[], known: readonly string[]) =>
    names.filter((name): name is string => name !== undefined && !known.includes(name));
  const target = (on: "machine" | { part: string } | { position: string } | undefined, named: string | undefined) => {
    if (on === undefined) return ["(not in the catalog)"];
    if (on === "machine") return named === undefined ? [] : [named];
    if (named === undefined) return ["(nothing named)"];
    return "part" in on
      ? unknown([named], ticket.machine.parts.filter((p) => p.kind === on.part).map((p) => p.id))
      : unknown([named], catalog.positions.filter((p) => p.kind === on.position).map((p) => p.id));
  };
  switch (entry.kind) {
    case "starts":
      return [
        ...unknown(entry.trials.flatMap((t) => t.outcome), outcomes),
        ...unknown(Object.keys(entry.conditions ?? {}), catalog.conditions!.map((c) => c.id)),
      ];
    case "finding": {
      const finding = catalog.findings!.find((f) => f.id === entry.finding);
      return [...target(finding?.on, entry.on), ...unknown([entry.value], finding?.values.map((v) => v.id) ?? [])];
    }
    case "reading":
      return target(catalog.readings!.find((r) => r.id === entry.reading)?.on, entry.on);
    case "repair":
      return target(catalog.repairs!.find((r) => r.id === entry.repair)?.on, entry.on);
    case "change": {
      const settings = Object.entries(entry.settings ?? {}).filter(
        ([id, value]) => !catalog.settings!.find((s) => s.id === id)?.values.some((v) => v.id === value),
      );
      return [
        ...unknown(Object.keys(entry.fit ?? {}), positions),
        ...unknown(Object.values(entry.fit ?? {}).map((part) => part ?? undefined), parts),
        ...settings.map(([id]) => id),
        ...unknown([entry.in], ["own", ...(ticket.machine.donors ?? []).map((d) => d.id)]),
      ];
    }
    default:
      return [];
  }
}
