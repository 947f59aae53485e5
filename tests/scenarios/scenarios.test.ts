/** The demo tickets in `scenarios/`: each one is valid, tells one record, and has its hidden truth beside it. */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { z } from "zod";
import { expand } from "../../engine/catalog/expand.js";
import { Catalog } from "../../engine/catalog/schema.js";
import { checkTicket } from "../../engine/ticket/checkTicket.js";
import { Ticket, type Trial } from "../../engine/ticket/schema.js";

const root = new URL("../../", import.meta.url);
const read = (path: string): unknown => JSON.parse(readFileSync(new URL(path, root), "utf8"));
const folders = readdirSync(new URL("scenarios/", root)).filter((name) =>
  existsSync(new URL(`scenarios/${name}/ticket.json`, root)),
);

/** What a ticket does not say: the causes by concrete id, each with the chance that it shows at a nominal trial. */
const Truth = z.strictObject({
  ticket: z.string(),
  causes: z.array(z.strictObject({ cause: z.string(), rate: z.number().gt(0).max(1) })).min(1),
  story: z.string().min(1),
});

const catalog = Catalog.parse(read("priors/desktop.json"));
const load = (folder: string) => ({
  ticket: Ticket.parse(read(`scenarios/${folder}/ticket.json`)),
  truth: Truth.parse(read(`scenarios/${folder}/truth.json`)),
});

test("the page lists every one", () => {
  const page = readFileSync(new URL("scenarios/README.md", root), "utf8");
  expect(folders.filter((folder) => !page.includes(`(${folder}/ticket.json)`))).toEqual([]);
});

describe.each(folders)("%s", (folder) => {
  const { ticket, truth } = load(folder);

  test("is valid with its catalog", () => expect(checkTicket(catalog, ticket)).toEqual([]));

  test("hides causes that the machine can have, and does not name them", () => {
    expect(truth.ticket).toBe(ticket.id);
    const possible = [...expand(catalog, ticket).causes.map((c) => c.id), "unlisted"];
    for (const { cause } of truth.causes) {
      expect(possible).toContain(cause);
      expect(JSON.stringify(ticket)).not.toContain(cause);
    }
  });

  test("has 10 to 25 entries in the order of time, beginning with the intake", () => {
    expect(ticket.entries.length).toBeGreaterThanOrEqual(10);
    expect(ticket.entries.length).toBeLessThanOrEqual(25);
    const times = ticket.entries.map((e) => Date.parse(e.at!));
    expect(times).toEqual([...times].sort((x, y) => x - y));
    expect(ticket.entries[0]!.kind).toBe("intake");
  });

  test("says how many minutes everything but notes took", () => {
    for (const entry of ticket.entries)
      if (entry.kind !== "note") expect(entry.minutes, entry.id).toBeGreaterThan(0);
  });
});

test("together they show every kind of record that a bench keeps", () => {
  const entries = folders.flatMap((folder) => load(folder).ticket.entries);
  const starts = entries.flatMap((e) => (e.kind === "starts" ? [e] : []));
  const trials: Trial[] = starts.flatMap((e) => e.trials);
  expect(new Set(entries.map((e) => e.kind))).toEqual(
    new Set(["intake", "starts", "finding", "reading", "change", "repair", "note"]),
  );
  expect(starts.some((e) => e.by === "owner")).toBe(true);
  expect(trials.some((t) => t.voided)).toBe(true);
  expect(trials.some((t) => Array.isArray(t.outcome))).toBe(true);
  expect(trials.some((t) => t.minute !== undefined)).toBe(true);
  expect(entries.some((e) => e.kind === "change" && e.in !== undefined)).toBe(true);
});
