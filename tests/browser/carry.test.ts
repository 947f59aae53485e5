/** A ticket from one screen to another: the codes that one page shows, held before the other page's camera. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import jsQR from "jsqr";
import { chromium, type Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import { framesOf, Gathering } from "../../explorer/carry/frames.js";
import { packed, unpacked } from "../../explorer/carry/packed.js";
import { squaresOf } from "../../explorer/carry/squares.js";
import { picture } from "../explorer/codes.js";
import { ensureChromium, FLAGS } from "./chromium.js";
import { serveExplorer, Visit, type Served } from "./served.js";
import { layOnBench, smallTicket } from "./small-ticket.js";
import { TicketPage } from "./ticket-page.js";

const folder = mkdtempSync(join(tmpdir(), "fitful-camera-"));
const film = join(folder, "codes.y4m");
const carried = smallTicket("carried");

let served: Served;
let browser: Browser;

beforeAll(async () => {
  writeFileSync(film, filmed(framesOf(await packed(JSON.stringify(carried)))));
  served = await serveExplorer();
  const camera = [
    "--use-fake-device-for-media-stream",
    "--use-fake-ui-for-media-stream",
    `--use-file-for-fake-video-capture=${film}`,
  ];
  browser = await chromium.launch({ executablePath: ensureChromium(), args: [...FLAGS, ...camera] });
});
afterAll(async () => {
  await browser?.close();
  await served?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** The codes before a camera, a fifth of a second each: YUV4MPEG2 of 30 pictures a second, 640 × 480, grey. */
function filmed(frames: readonly Uint8Array[]): Buffer {
  const [width, height] = [640, 480];
  const parts: Buffer[] = [Buffer.from(`YUV4MPEG2 W${width} H${height} F30:1 Ip A1:1 C420jpeg\n`)];
  for (const frame of frames) {
    const { pixels, side } = picture(squaresOf(frame), 6);
    const grey = Buffer.alloc((width * height * 3) / 2, 128);
    grey.fill(200, 0, width * height);
    for (let y = 0; y < side; y++)
      for (let x = 0; x < side; x++) grey[(y + 8) * width + x + 90] = pixels[4 * (y * side + x)]!;
    for (let n = 0; n < 6; n++) parts.push(Buffer.from("FRAME\n"), grey);
  }
  return Buffer.concat(parts);
}

test("codes before the camera become a ticket on the bench, to the letter", async () => {
  const visit = await Visit.begin(browser, {
    viewport: { width: 390, height: 844 },
  });
  const { page } = visit;
  await page.goto(`${served.url}#/carry`);
  await page.getByRole("button", { name: "Read with this camera" }).click();
  const ticket = new TicketPage(page);
  await ticket.strip.waitFor({ timeout: 60_000 });
  expect(JSON.parse(readFileSync(await ticket.saved(), "utf8")) as Ticket).toEqual(carried);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

test("the codes that a page shows are its ticket", async () => {
  const visit = await Visit.begin(browser, {
    viewport: { width: 1280, height: 900 },
  });
  const { page } = visit;
  await layOnBench(page, served.url, carried);
  await page.goto(`${served.url}#/carry/carried`);
  const gathering = new Gathering();
  do {
    const drawn = await page.evaluate<string>(DRAWN);
    const pixels = [...drawn].flatMap((bit) => (bit === "1" ? [255, 255, 255, 255] : [0, 0, 0, 255]));
    const side = Math.sqrt(drawn.length);
    const code = jsQR(Uint8ClampedArray.from(pixels), side, side);
    expect(gathering.add(Uint8Array.from(code?.binaryData ?? []))).toBe(true);
    await page.getByRole("button", { name: "Next code" }).click();
  } while (gathering.have < gathering.total);
  expect(JSON.parse(await unpacked(gathering.whole()!))).toEqual(carried);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

/** Runs in the page: the code on it, a digit for each pixel, 1 where it is light. */
const DRAWN = `(async () => {
  const side = 400;
  let svg;
  while (!(svg = document.querySelector('svg[aria-label^="Code"]'))) await new Promise(requestAnimationFrame);
  const copy = svg.cloneNode(true);
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  const image = new Image(side, side);
  image.src = "data:image/svg+xml," + encodeURIComponent(copy.outerHTML);
  await image.decode();
  const canvas = Object.assign(document.createElement("canvas"), { width: side, height: side });
  const context = canvas.getContext("2d");
  context.drawImage(image, 0, 0, side, side);
  const { data } = context.getImageData(0, 0, side, side);
  let bits = "";
  for (let i = 0; i < data.length; i += 4) bits += data[i] > 127 ? "1" : "0";
  return bits;
})()`;
