/** A backup read: what it holds, and how one of the first version is brought up. */
import { expect, test } from "vitest";
import { readBackup, written } from "../../explorer/store/backup.js";
import { NO_SHOP } from "../../explorer/store/shop.js";
import { ticket } from "./small.js";

const read = async (...lines: object[]) =>
  (await readBackup(new Blob(lines.map((line) => JSON.stringify(line) + "\n")))).backup.tickets;
const line = (more: object = {}) => ({ kind: "ticket", ticket, savedAt: "", ...more });
const currencies = async (...lines: object[]) => (await read(...lines)).map((one) => one.ticket.currency);
const shop = { kind: "shop", shop: { ...NO_SHOP, currency: "NZD" } };

test("a currency that stood beside a ticket is in it, and where none stood it is the shop's", async () => {
  const head = { format: "fitful/backup@1", made: "", holds: {} };
  const lines = [line({ currency: "EUR" }), line({ currency: null }), line()];
  expect(await currencies(head, shop, ...lines)).toEqual(["EUR", undefined, "NZD"]);
  expect(await currencies(head, ...lines)).toEqual(["EUR", undefined, undefined]);
  expect(await read(head, shop, line({ ticket: null }))).toEqual([]);
});

test("bare sums stay bare beside a shop that has a currency", async () => {
  const bare = { ticket, savedAt: "2030-01-01" };
  const priced = { ticket: { ...ticket, id: "t2", currency: "EUR" }, savedAt: "2030-01-02" };
  const file = await written({ tickets: [bare, priced], catalogs: [], photos: [], shop: shop.shop }, "");
  expect((await readBackup(file)).backup.tickets).toEqual([bare, priced]);
});
