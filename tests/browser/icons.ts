/**
 * npx tsx tests/browser/icons.ts: the page's mark as the pictures that an installed page needs.
 */
import { readFileSync, writeFileSync } from "node:fs";
import { launch } from "./chromium.js";

const at = (name: string) => new URL(`../../explorer/public/${name}`, import.meta.url);
const mark = readFileSync(at("mark.svg"), "utf8");
/** A maskable icon may be cut to a circle of 80 % of its width: the mark on its own ground, with room around. */
const ICONS = [
  { name: "mark-192.png", size: 192, share: 1 },
  { name: "mark-512.png", size: 512, share: 1 },
  { name: "mark-maskable.png", size: 512, share: 0.72 },
];

const browser = await launch();
try {
  for (const { name, size, share } of ICONS) {
    const page = await browser.newPage({ viewport: { width: size, height: size } });
    const ground = share < 1 ? "#f1e3bf" : "transparent";
    await page.setContent(
      `<style>body{margin:0;display:grid;place-items:center;height:100vh;background:${ground}}svg{width:${100 * share}vw}</style>${mark}`,
    );
    writeFileSync(at(name), await page.screenshot({ omitBackground: true }));
    await page.close();
  }
} finally {
  await browser.close();
}
