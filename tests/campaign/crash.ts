/**
 * The browser killed at random moments while starts are being pressed; writes what was lost to a file.
 *
 *   npx tsx tests/campaign/crash.ts OUT.json [runs, default 200] [seed, default 1]
 */
import { writeFileSync } from "node:fs";
import { crashes, type Crash } from "../browser/crash.js";
import { serveExplorer } from "../browser/served.js";

const [out, wanted = "200", seed = "1"] = process.argv.slice(2);
if (!out) throw new Error("arguments: found none, expected OUT.json [runs] [seed]");

const sum = (runs: readonly Crash[], of: (run: Crash) => number) =>
  runs.reduce((total, run) => total + of(run), 0);

const served = await serveExplorer();
const started = Date.now();
let done = 0;
try {
  const runs = await crashes(served.url, Number(wanted), Number(seed), () => {
    if (++done % 20 === 0) console.error(`${done} of ${wanted}`);
  });
  const figures = {
    runs: runs.length,
    seed: Number(seed),
    pressed: sum(runs, (run) => run.pressed),
    solid: sum(runs, (run) => run.solid),
    found: sum(runs, (run) => run.found),
    solidStartsMissing: sum(runs, (run) => Math.max(0, run.solid - run.found)),
    /** shows that the kills came while something was pending: presses that were not drawn solid, and are gone */
    pendingStartsGone: sum(runs, (run) => Math.max(0, run.pressed - run.found)),
    runsWithSomethingPending: runs.filter((run) => run.pressed > run.solid).length,
    seconds: Math.round((Date.now() - started) / 1000),
    each: runs,
  };
  writeFileSync(out, JSON.stringify(figures, null, 2) + "\n");
  console.log({ ...figures, each: undefined });
  process.exitCode = figures.solidStartsMissing === 0 ? 0 : 1;
} finally {
  await served.close();
}
