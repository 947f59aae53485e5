/** A file that was opened: the ticket in it, or in plain words what it is instead. */
import { expect, test } from "vitest";
import { fileText, readJson } from "../../explorer/store/files.js";
import { ticket } from "./small.js";

const said = (text: string) => {
  const read = readJson(text);
  return "issues" in read ? read.issues.map(({ message }) => message) : read.data;
};
const wanted = "expected a ticket or a catalog: a text that begins with {";

test("a ticket is read as it was saved", () => {
  expect(said(fileText(ticket))).toEqual(ticket);
});

test.each([
  ["", `file: found an empty file, ${wanted}`],
  ["\n  \n", `file: found an empty file, ${wanted}`],
  ["Dear customer, your machine", `file: found a text that begins with “Dear customer, your machine”, ${wanted}`],
  ["[1]", `file: found a text that begins with “[1]”, ${wanted}`],
  ["\uFFFD\uFFFD\u0000\u0010JFIF", `file: found something that is no text, ${wanted}`],
  ['{"id": "a"', "line 1, column 11: found the end of the file, expected , or }, in a file that is whole"],
  ['{\n  "id": a\n}', "line 2, column 9: found a, expected a value, in a file that is whole"],
])("%j is said to be what it is", (text, message) => {
  expect(said(text)).toEqual([message]);
}); // prettier-ignore

const lines = (...of: object[]) => of.map((one) => JSON.stringify(one)).join("\n");
const head = { format: "fitful/backup@1", made: "2030-01-02", holds: { tickets: 1, catalogs: 0, photos: 1 } };
const photo = { kind: "photo", id: "photo-1", tickets: [ticket.id], type: "image/png", base64: "" };

test("a ticket that travels with its photographs is read from its lines", () => {
  expect(said(lines(head, { kind: "ticket", ticket, savedAt: "" }, photo))).toEqual(ticket);
});

test("a backup of several tickets, or of none, is no ticket", () => {
  const one = { kind: "ticket", ticket, savedAt: "" };
  const expected = "expected a ticket, or a backup of one";
  expect(said(lines(head, one, one))).toEqual([`file: found a backup of 2 tickets, ${expected}`]);
  expect(said(lines(head, photo))).toEqual([`file: found a backup of 0 tickets, ${expected}`]);
});

test("a fault in one of its lines is placed in the file", () => {
  expect(said(lines(head) + '\n{"kind":"ticket","ticket":{')).toEqual([
    "line 2, column 28: found the end of the file, expected a name in double quotes or }, in a file that is whole",
  ]);
});
