/** A catalog opened as a file: where it may stand, and what is said. */
import { expect, test } from "vitest";
import { cameInWords, hereAlready, takenBackWords } from "../../explorer/list/came-in.js";
import { readCatalog } from "../../explorer/store/catalog-file.js";
import { isCatalog } from "../../explorer/store/files.js";
import { catalog, ticket } from "./small.js";

const none = { fixed: [], own: [] };
const second = { ...catalog, version: "2", name: "Small machine, newer" };
const other = { ...catalog, nothingWrong: 0.2 };

test("a catalog is known by its format, and its faults are named as everywhere", () => {
  expect([
    isCatalog(catalog),
    isCatalog(ticket),
    isCatalog(null),
    isCatalog({ format: "fitful/catalog@2" }),
  ]).toEqual([true, false, false, true]);
  expect(readCatalog({ ...catalog, version: 2 }, none)).toMatchObject({
    issues: [{ path: "version", found: "2" }],
  });
});

test("it is new, or the same, or in the place of another version", () => {
  expect(readCatalog(catalog, none)).toEqual({ catalog, here: null });
  expect(readCatalog(catalog, { fixed: [catalog], own: [] })).toEqual({ catalog, here: catalog });
  expect(readCatalog(second, { fixed: [], own: [catalog] })).toEqual({ catalog: second, here: catalog });
});

test("what would change a catalog under the same version, or one of the program, is refused", () => {
  const said = (known: Parameters<typeof readCatalog>[1], data: unknown) => {
    const read = readCatalog(data, known);
    return "issues" in read ? read.issues.map(({ message }) => message) : [];
  };
  expect(said({ fixed: [], own: [catalog] }, other)).toEqual([
    'version: found "1", where the catalog of this id and version that is here holds something else, expected another version, which takes the place of the one here, or another id',
  ]);
  expect(said({ fixed: [catalog], own: [] }, second)).toEqual([
    'id: found "small", which comes with the program and is another there, expected an id of its own',
  ]);
});

test("what came of it is said, with the tickets that it matters to", () => {
  const tickets = ["small", "own/small.json", "desktop"].map((of) => ({ ...ticket, catalog: of }));
  expect(cameInWords(catalog, null, tickets)).toBe(
    "“Small machine”, version 1, is kept among the kinds of machine. New tickets can be taken in with it.",
  );
  expect(cameInWords(second, catalog, tickets)).toBe(
    "“Small machine, newer”, version 2, is kept in the place of version 1. 2 tickets are weighed with it from now on.",
  );
  expect(cameInWords(second, catalog, [])).toMatch(/version 1\.$/);
  expect(hereAlready(catalog)).toBe(
    "“Small machine”, version 1, is among the kinds of machine already, to the letter.",
  );
  expect([takenBackWords(catalog, null), takenBackWords(second, catalog)]).toEqual([
    "“Small machine” is not kept.",
    "“Small machine”, version 1, stands in its place again.",
  ]);
});
