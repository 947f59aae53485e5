/**
 * Finds a Chromium-like browser, or installs one, so that `npm test` is the only command a newcomer needs.
 *
 * Order: the environment variable, the usual places, the cache of playwright-core; then Debian's package (as root),
 * then the download that playwright-core offers.
 */
import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { homedir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium, type Browser } from "playwright-core";

export const BROWSER_VARIABLE = "FITFUL_BROWSER";

/** The last flag makes "nothing leaves loopback" true by force as well as by test. */
export const FLAGS = [
  "--headless",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
];

const PROGRAMS = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge"];

function usualPlaces(): string[] {
  const { LOCALAPPDATA, PROGRAMFILES } = process.env;
  const windows = [PROGRAMFILES, process.env["PROGRAMFILES(X86)"], LOCALAPPDATA].filter(
    (folder) => folder !== undefined,
  );
  return [
    ...["/usr/bin", "/usr/local/bin", "/snap/bin", "/opt/google/chrome"].flatMap((folder) =>
      PROGRAMS.map((program) => join(folder, program)),
    ),
    ...["", homedir()].flatMap((home) => [
      `${home}/Applications/Chromium.app/Contents/MacOS/Chromium`,
      `${home}/Applications/Google Chrome.app/Contents/MacOS/Google Chrome`,
      `${home}/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge`,
    ]),
    ...windows.flatMap((folder) => [
      join(folder, "Google/Chrome/Application/chrome.exe"),
      join(folder, "Chromium/Application/chrome.exe"),
      join(folder, "Microsoft/Edge/Application/msedge.exe"),
    ]),
    chromium.executablePath(),
  ];
}

/** @throws {Error} where the variable names a file that is not there */
export function findChromium(): string | null {
  const named = process.env[BROWSER_VARIABLE];
  if (named === undefined || named === "")
    return usualPlaces().find((place) => place !== "" && existsSync(place)) ?? null;
  if (existsSync(named)) return named;
  throw new Error(`${BROWSER_VARIABLE}: found ${named}, expected the path of a Chromium-like browser`);
}

/** @throws {Error} where there is none and none could be installed */
export function ensureChromium(): string {
  const found = findChromium();
  if (found !== null) return found;
  console.log("no Chromium-like browser found; installing one for the tests in a browser");
  for (const install of installers()) {
    install();
    const installed = findChromium();
    if (installed !== null) return installed;
  }
  throw new Error(
    `browser: found none, and none could be installed; expected Chromium, Chrome or Edge. ` +
      `Install one, or set ${BROWSER_VARIABLE} to its path, or run "npm run test:fast", which needs none`,
  );
}

function installers(): (() => void)[] {
  const asRootOnDebian = process.getuid?.() === 0 && existsSync("/usr/bin/apt-get");
  const playwright = fileURLToPath(new URL("../../node_modules/playwright-core/cli.js", import.meta.url));
  return [
    ...(asRootOnDebian
      ? [() => apt("update"), () => apt("install", "-y", "--no-install-recommends", "chromium")]
      : []),
    () => run(process.execPath, [playwright, "install", "chromium"]),
  ];
}

const apt = (...args: string[]) => run("apt-get", ["-q", ...args]);

function run(program: string, args: string[]): void {
  const env = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
  spawnSync(program, args, { stdio: ["ignore", "inherit", "inherit"], env });
}

export const launch = (): Promise<Browser> =>
  chromium.launch({ executablePath: ensureChromium(), args: FLAGS });
