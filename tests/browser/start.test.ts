/** The README's first command: what it prints is an address on loopback, and the demo ticket opens there. */
import { spawn, type ChildProcess } from "node:child_process";
import { fileURLToPath } from "node:url";
import { afterAll, expect, test } from "vitest";
import { launch } from "./chromium.js";
import { Visit } from "./served.js";
import { TicketPage } from "./ticket-page.js";

const root = fileURLToPath(new URL("../..", import.meta.url));

/** In a group of its own: npm starts a shell, and that the server. */
const started = spawn("npm", ["start"], {
  cwd: root,
  detached: true,
  stdio: ["ignore", "pipe", "pipe"],
  env: { ...process.env, NO_COLOR: "1", FORCE_COLOR: "0" },
});
const browser = await launch();

afterAll(async () => {
  await browser.close();
  process.kill(-started.pid!);
});

function addressOf(child: ChildProcess): Promise<string> {
  let said = "";
  return new Promise((resolve, reject) => {
    const listen = (text: Buffer) => {
      said += text.toString();
      const address = /https?:\/\/\S+/.exec(said);
      if (address) resolve(address[0]);
    };
    child.stdout!.on("data", listen);
    child.stderr!.on("data", listen);
    child.on("exit", () => reject(new Error(`npm start: found an end, expected an address: ${said}`)));
  });
}

test("npm start prints an address on loopback, where a newcomer finds the demo ticket", async () => {
  const address = await addressOf(started);
  expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/$/);
  const visit = await Visit.begin(browser, { viewport: { width: 1280, height: 900 } });
  await visit.page.goto(address);
  const ticket = new TicketPage(visit.page);
  expect(await ticket.title()).toContain("Tidewater Community Radio");
  await ticket.settled();
  expect(visit.errors).toEqual([]);
  expect(visit.strays).toEqual([]);
  await visit.end();
});
