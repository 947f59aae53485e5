/** A ticket that was saved with its photographs, as the command is given it. */
import { expect, test } from "vitest";
import { smallTicket } from "../browser/small-ticket.js";
import { fitful, Folder } from "./fitful.js";

const folder = new Folder();
const head = { format: "fitful/backup@1", made: "2030-01-02", holds: { tickets: 1, catalogs: 0, photos: 1 } };
const photo = { kind: "photo", id: "photo-1", tickets: ["bench"], type: "image/png", base64: "AAAA" };
const line = { kind: "ticket", ticket: smallTicket("bench"), savedAt: "" };
const saved = (name: string, ...lines: object[]) =>
  folder.file(name, lines.map((one) => JSON.stringify(one) + "\n").join(""));

test("it weighs as the same ticket does alone", async () => {
  const alone = await fitful(["weigh", folder.file("alone.json", line.ticket)]);
  expect(alone).toMatchObject({ err: "", code: 0 });
  expect(await fitful(["weigh", saved("bench.ticket.jsonl", head, line, photo)])).toEqual(alone);
});

test("a backup of several tickets is refused in words", async () => {
  const file = saved("all.jsonl", head, line, line);
  const { out, code } = await fitful(["check", file]);
  expect(out).toBe(`${file}: file: found a backup of 2 tickets, expected a ticket, or a backup of one\n`);
  expect(code).not.toBe(0);
});
