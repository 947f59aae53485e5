/** Photographs go where their ticket goes: into its file, out of it in another browser, and not into the codes. */
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { axe } from "./axe.js";
import { openExplorer } from "./explorer.js";
import { RecordPage } from "./record-page.js";
import { Visit } from "./served.js";
import { smallTicket } from "./small-ticket.js";

const { served, browser } = await openExplorer();

/** A red square, 8 × 8, drawn by the browser itself. */
async function picture(bench: RecordPage): Promise<Buffer> {
  const bytes = await bench.page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [8, 8];
    const context = canvas.getContext("2d")!;
    context.fillStyle = "#c00";
    context.fillRect(0, 0, 8, 8);
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/png"));
    return [...new Uint8Array(await blob!.arrayBuffer())];
  });
  return Buffer.from(bytes);
}

const shown = (bench: RecordPage) => bench.record.getByAltText("Photograph: Scorch mark by the plug");
const sizeOf = (bench: RecordPage) =>
  shown(bench).evaluate(async (node) => {
    const image = node as HTMLImageElement;
    await image.decode();
    return [image.naturalWidth, image.naturalHeight];
  });

test.each([390, 1280])("saved, wiped and opened again, the photograph is there (%i px)", async (width) => {
  const options = { viewport: { width, height: 844 } };
  const first = await Visit.begin(browser, options);
  const here = new RecordPage(first.page);
  await here.open(served.url, smallTicket("travels"));
  const before = await here.saved();
  expect(JSON.parse(readFileSync(before, "utf8"))).toMatchObject({ id: "travels" }); // nothing to carry: a plain ticket

  await here.write("Note, photograph");
  await here.dialog.getByLabel(/^Note, or what/).fill("Scorch mark by the plug");
  await here.dialog
    .getByLabel("Photographs")
    .setInputFiles({ name: "plug.png", mimeType: "image/png", buffer: await picture(here) });
  await here.dialog.getByAltText("Photograph 1 of this entry").waitFor();
  await here.confirm();
  expect(await sizeOf(here)).toEqual([8, 8]);

  const [download] = await Promise.all([
    here.page.waitForEvent("download"),
    here.page.getByRole("button", { name: "Save file" }).click(),
  ]);
  expect(download.suggestedFilename()).toBe("travels.ticket.jsonl");
  const file = { name: "travels.ticket.jsonl", mimeType: "", buffer: readFileSync(await download.path()) };
  await first.page.goto(`${served.url}#/carry/travels`);
  await first.page
    .getByText("Its photograph stays behind: codes carry no photographs, a file does.")
    .waitFor();
  const { violations } = await axe(first.page).analyze();
  expect(violations.map(({ id }) => id)).toEqual([]);
  await first.end(); // and all that it stored

  const second = await Visit.begin(browser, options);
  const there = new RecordPage(second.page);
  await second.page.goto(`${served.url}#/list`);
  await second.page.getByLabel("Open a file").setInputFiles(file);
  expect(await sizeOf(there)).toEqual([8, 8]);
  await second.page.reload();
  expect(await sizeOf(there)).toEqual([8, 8]);

  // the same file once more is the same ticket; a damaged one is refused as a whole
  await second.page.goto(`${served.url}#/list`);
  await second.page.getByLabel("Open a file").setInputFiles(file);
  await shown(there).waitFor();
  await second.page.goto(`${served.url}#/list`);
  const cut = file.buffer.subarray(0, file.buffer.length - 40);
  await second.page.getByLabel("Open a file").setInputFiles({ ...file, name: "cut.jsonl", buffer: cut });
  await second.page.getByText("cut.jsonl was not opened").waitFor();
  await second.page.getByText("line 3", { exact: true }).waitFor();
  expect(await second.page.getByRole("link", { name: /Front desk/ }).count()).toBe(1);
  expect([first.errors, second.errors, first.strays, second.strays]).toEqual([[], [], [], []]);
  await second.end();
});
