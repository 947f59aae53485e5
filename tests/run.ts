/**
 * What `npm test` runs: types, lint, format, then the tests, those in a real browser included. All of it runs whatever
 * fails before, and the last line counts it: "N passed, N failed".
 *
 *   tsx tests/run.ts          everything, two things at a time
 *   tsx tests/run.ts fast     without the browser and the long tests; the checks beside the tests, and only on files that changed since the
 *                             last time (a rule that needs a type from another file may miss it; `npm test` does not)
 *   tsx tests/run.ts check    types, lint and format only
 */
import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { BROWSER_VARIABLE, ensureChromium } from "./browser/chromium.js";

const ROOT = fileURLToPath(new URL("..", import.meta.url));

/** How the house is kept: each one counts as a test. */
const CHECKS: [name: string, tool: string, args: string[]][] = [
  ["types", "svelte-check/bin/svelte-check", ["--tsconfig", "tsconfig.json", "--fail-on-warnings"]],
  ["lint", "eslint/bin/eslint.js", ["-c", "tests/eslint.config.js", "--max-warnings", "0", "."]],
  ["format", "prettier/bin/prettier.cjs", ["--check", "--log-level", "warn", "."]],
];

const CACHED: Record<string, string[]> = {
  lint: ["--cache", "--cache-strategy", "content", "--cache-location", "node_modules/.cache/eslint/"],
  format: ["--cache", "--cache-strategy", "content", "--cache-location", "node_modules/.cache/prettier.json"],
};

interface Count {
  passed: number;
  failed: number;
}

/** Runs a tool of node_modules in a process of its own; true where it ended well. What it says appears as it says it. */
function run(tool: string, args: string[], env: Record<string, string> = {}): Promise<boolean> {
  const script = join(ROOT, "node_modules", tool);
  const child = spawn(process.execPath, [script, ...args], {
    cwd: ROOT,
    stdio: ["ignore", "inherit", "inherit"],
    env: { ...process.env, ...env },
  });
  return new Promise((resolve) => {
    child.on("error", () => resolve(false));
    child.on("close", (status) => resolve(status === 0));
  });
}

async function check([name, tool, args]: (typeof CHECKS)[number], more: string[] = []): Promise<Count> {
  const started = performance.now();
  const fine = await run(tool, [...args, ...more]);
  console.log(`${fine ? "✓" : "✗"} ${name} (${((performance.now() - started) / 1000).toFixed(0)} s)`);
  return { passed: Number(fine), failed: Number(!fine) };
}

/** Side by side: each of them keeps one core busy. */
const checks = (isCached: boolean): Promise<Count[]> =>
  Promise.all(CHECKS.map((one) => check(one, isCached ? CACHED[one[0]] : [])));

/** Vitest's own figures; a file that could not be loaded has no tests to fail, so it counts as one. */
async function tests(args: string[], env: Record<string, string>): Promise<Count> {
  const folder = mkdtempSync(join(tmpdir(), "fitful-tests-"));
  const report = join(folder, "report.json");
  const reporters = ["--reporter=default", "--reporter=json", `--outputFile.json=${report}`];
  try {
    const fine = await run(
      "vitest/vitest.mjs",
      ["run", "--config", "tests/vitest.config.ts", ...reporters, ...args],
      env,
    );
    return count(readFileSync(report, "utf8"), fine);
  } catch (error) {
    console.error(`tests: found no report, expected one from vitest: ${(error as Error).message}`);
    return { passed: 0, failed: 1 };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function count(report: string, fine: boolean): Count {
  const { numPassedTests, numFailedTests, testResults } = JSON.parse(report) as {
    numPassedTests: number;
    numFailedTests: number;
    testResults: { status: string; assertionResults: { status: string }[] }[];
  };
  const unloaded = testResults.filter(
    (file) => file.status === "failed" && !file.assertionResults.some((test) => test.status === "failed"),
  ).length;
  const failed = numFailedTests + unloaded;
  return { passed: numPassedTests, failed: fine || failed > 0 ? failed : 1 };
}

type Job = () => Promise<Count>;

/** The checks, and the tests that need no browser. */
const IN_NODE: Job[] = [
  ...CHECKS.map((one) => () => check(one)),
  () => tests(["--project", "fast", "--project", "long"], {}),
];

/** The files of the browser's tests are dealt out in so many parts, so that neither lane waits long for the other. */
const PARTS = 6;

/** What the browser's tests need; null, and said, where it cannot be had. */
async function readied(): Promise<{ folder: string; env: Record<string, string> } | null> {
  try {
    const browser = ensureChromium();
    const { buildExplorer, BUILT_VARIABLE } = await import("./browser/served.js"); // not for runs without a browser
    const folder = await buildExplorer();
    return { folder, env: { [BROWSER_VARIABLE]: browser, [BUILT_VARIABLE]: folder } };
  } catch (error) {
    console.error((error as Error).message);
    return null;
  }
}

async function everything(): Promise<Count[]> {
  const ready = await readied();
  const inBrowser: Job[] = ready
    ? Array.from(
        { length: PARTS },
        (_, k) => () => tests(["--project", "browser", "--shard", `${k + 1}/${PARTS}`], ready.env),
      )
    : [() => Promise.resolve({ passed: 0, failed: 1 })];
  const counts = await inLanes([IN_NODE, inBrowser]);
  if (ready) rmSync(ready.folder, { recursive: true, force: true });
  return counts;
}

/** Side by side: a browser's test keeps one core busy, and not all of the time. A lane that is done helps the others. */
async function inLanes(jobs: readonly Job[][]): Promise<Count[]> {
  const counts: Count[] = [];
  const lanes = jobs.map((lane) => [...lane]);
  const next = (own: Job[]) => (own.length > 0 ? own : lanes.find((lane) => lane.length > 0))?.shift();
  const drive = async (own: Job[]) => {
    for (let job = next(own); job; job = next(own)) counts.push(await job());
  };
  await Promise.all(lanes.map(drive));
  return counts;
}

async function main(how: string | undefined): Promise<Count[]> {
  if (how === "check") return checks(false);
  if (how === "fast")
    return (await Promise.all([checks(true), tests(["--project", "fast"], {}).then((one) => [one])])).flat();
  return everything();
}

const counts = await main(process.argv[2]);
const passed = counts.reduce((sum, c) => sum + c.passed, 0);
const failed = counts.reduce((sum, c) => sum + c.failed, 0);
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 ? 0 : 1;
