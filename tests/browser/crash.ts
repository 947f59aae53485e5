/**
 * The browser killed while starts are being pressed: is every start that was drawn solid still there afterwards?
 *
 * The browser is a process group of its own and is killed whole (SIGKILL) at a random moment; what it had not handed to
 * the operating system by then is gone. That is a crash of the program, not of the machine's power.
 */
import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { chromium, type Page } from "playwright-core";
import { seededUniform } from "../../engine/numeric/random.js";
import { ensureChromium, FLAGS } from "./chromium.js";
import { layOnBench, smallTicket } from "./small-ticket.js";

export interface Crash {
  /** presses that the page had received when it was killed, at least */
  pressed: number;
  /** starts that had been seen drawn solid */
  solid: number;
  /** starts that were there afterwards */
  found: number;
}

/** One run after another, in one profile, each killed a while after a start was drawn solid: what was solid at the kill, what is there when the browser is started again. */
export async function crashes(
  url: string,
  runs: number,
  seed: number,
  told = (_: Crash) => {},
): Promise<Crash[]> {
  const profile = mkdtempSync(join(tmpdir(), "fitful-crash-"));
  const random = seededUniform(seed);
  const seen: Crash[] = [];
  try {
    for (let run = 0; run < runs; run++) {
      const before = await pressedUntilKilled(profile, url, `crash-${run}`, 20 + 1200 * random());
      const crash = { ...before, found: await foundAfter(profile, url, `crash-${run}`) };
      seen.push(crash);
      told(crash);
    }
  } finally {
    rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  }
  return seen;
}

const pressedUntilKilled = (profile: string, url: string, id: string, after: number) =>
  withBrowser(profile, async (page, kill) => {
    let [pressed, solid] = [0, 0];
    let first = () => {};
    void new Promise<void>((resolve) => (first = resolve)).then(() => pause(after)).then(kill);
    page.on("console", (message) => {
      const said = /^solid (\d+)$/.exec(message.text());
      if (!said) return;
      solid = Math.max(solid, Number(said[1]));
      first();
    });
    await page.addInitScript(REPORT_SOLID);
    await layOnBench(page, url, smallTicket(id));
    for (;;) {
      const gone = await page.keyboard.press(pressed % 3 === 0 ? "1" : "0").then(
        () => false,
        () => true,
      );
      if (gone) return { pressed, solid };
      pressed++;
    }
  });

const foundAfter = (profile: string, url: string, id: string) =>
  withBrowser(profile, async (page) => {
    await page.goto(`${url}#/ticket/${id}`);
    await page.getByRole("region", { name: "Log a start" }).waitFor();
    const tallies = await page.getByRole("region", { name: "Record" }).getByRole("img").all();
    const labels = await Promise.all(tallies.map((tally) => tally.getAttribute("aria-label")));
    return labels.reduce((sum, label) => sum + Number(/^\d+/.exec(label ?? "")?.[0] ?? 0), 0);
  });

/** Runs in the page: says how many starts are drawn solid whenever that changes. As text, so that no compiler touches it. */
const REPORT_SOLID = `
  let said = 0;
  const look = () => {
    let solid = 0;
    for (const tally of document.querySelectorAll('[aria-label="Record"] [role="img"][aria-label]')) {
      const [n = 0, pending = 0] = (tally.getAttribute("aria-label").match(/\\d+/g) ?? []).map(Number);
      solid += n - pending;
    }
    if (solid > said) console.log("solid " + solid);
    said = Math.max(said, solid);
  };
  new MutationObserver(look).observe(document, { subtree: true, childList: true, attributes: true });
`;

async function withBrowser<T>(
  profile: string,
  work: (page: Page, kill: () => Promise<void>) => Promise<T>,
): Promise<T> {
  const child = spawn(
    ensureChromium(),
    [...FLAGS, `--user-data-dir=${profile}`, "--remote-debugging-port=0", "about:blank"],
    { detached: true, stdio: "ignore" },
  );
  const ended = new Promise<void>((resolve) => child.on("exit", () => resolve()));
  const kill = () => {
    if (child.exitCode === null && child.signalCode === null) process.kill(-child.pid!, "SIGKILL");
    return ended;
  };
  try {
    const browser = await chromium.connectOverCDP(await addressOf(profile));
    const context = browser.contexts()[0]!;
    return await work(context.pages()[0] ?? (await context.newPage()), kill);
  } finally {
    await kill();
    rmSync(join(profile, PORT), { force: true });
  }
}

/** The browser writes there, once it listens, which port it took. */
const PORT = "DevToolsActivePort";

async function addressOf(profile: string): Promise<string> {
  for (let n = 0; n < 600; n++) {
    const file = join(profile, PORT);
    const [port, path] = existsSync(file) ? readFileSync(file, "utf8").split("\n") : [];
    if (port && path) return `ws://127.0.0.1:${port}${path}`;
    await pause(50);
  }
  throw new Error("browser: found no debugging port in 30 s, expected one");
}
