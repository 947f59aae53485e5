/**
 * Tables of 10⁴, 10⁵ and 10⁶ past tickets through `fitful tune`, each in a process of its own held to one core where the
 * system can (taskset): seconds and peak memory, to a file.
 *
 *   npx tsx tests/campaign/tuning.ts OUT.json [largest, default 1000000]
 */
import { spawn } from "node:child_process";
import {
  closeSync,
  existsSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Papa from "papaparse";
import type { Catalog } from "../../engine/catalog/schema.js";
import { startOf } from "../../engine/learn/fit/start.js";
import { spaceOf } from "../../engine/learn/space.js";
import { seededUniform } from "../../engine/numeric/random.js";
import { cleanTickets, drawTruth, HABITS } from "../../scenarios/past-tickets/draw.js";
import { HEADING, NOISE, rowsOf } from "../../scenarios/past-tickets/table.js";
import { ROOT } from "../command/fitful.js";

const [out, largest = "1000000"] = process.argv.slice(2);
if (!out) throw new Error("arguments: found none, expected OUT.json [largest]");

const folder = mkdtempSync(join(tmpdir(), "fitful-tuning-"));
const MATCHING = join(ROOT, "scenarios/past-tickets/matching.json");

function makeTable(rows: number): string {
  const catalog = JSON.parse(readFileSync(join(ROOT, "priors/desktop.json"), "utf8")) as Catalog;
  const space = spaceOf(catalog);
  const start = startOf(space);
  const truth = drawTruth(start, HABITS, seededUniform(1));
  const noise = seededUniform(2);
  const path = join(folder, `${rows}.csv`);
  const file = openSync(path, "w");
  const config = { delimiter: ";", newline: "\r\n" };
  let [held, written] = [[HEADING] as string[][], 0];
  const flush = () => {
    writeSync(file, Papa.unparse(held, config) + "\r\n");
    held = [];
  };
  for (const ticket of cleanTickets(start, truth, HABITS, rows, 3)) {
    held.push(...rowsOf(ticket, ++written, space, NOISE, noise));
    if (held.length > 5000) flush();
  }
  if (held.length > 0) flush();
  closeSync(file);
  return path;
}

/** Clock ticks a second, as Linux counts processor time. */
const TICKS = 100;

interface Run {
  rows: number;
  megabytes: number;
  seconds: number;
  /** seconds of processor time, the program's own start included; null where the system does not tell */
  cpu: number | null;
  /** peak resident memory in MB; null where the system does not tell */
  peak: number | null;
  code: number | null;
}

function run(rows: number, table: string): Promise<Run> {
  const started = performance.now();
  const call = [
    process.execPath,
    join(ROOT, "engine/command/fitful.js"),
    "tune",
    table,
    "--matching",
    MATCHING,
    "--json",
  ];
  const [program, ...args] = existsSync("/usr/bin/taskset") ? ["/usr/bin/taskset", "-c", "0", ...call] : call;
  const child = spawn(program!, args, { stdio: ["ignore", "ignore", "inherit"] });
  let [peak, cpu]: (number | null)[] = [null, null];
  const watch = setInterval(() => {
    try {
      const told = /VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${child.pid}/status`, "utf8"));
      if (told) peak = Math.max(peak ?? 0, Number(told[1]) / 1024);
      const stat = readFileSync(`/proc/${child.pid}/stat`, "utf8").split(") ")[1]!.split(" ");
      cpu = (Number(stat[11]) + Number(stat[12])) / TICKS;
    } catch {
      /* it has ended, or the system has no such file */
    }
  }, 100);
  return new Promise((resolve, reject) => {
    child.on("error", reject);
    child.on("close", (code) => {
      clearInterval(watch);
      const seconds = (performance.now() - started) / 1000;
      resolve({
        rows,
        megabytes: statSync(table).size / 2 ** 20,
        seconds,
        cpu: cpu ?? null,
        peak: peak ?? null,
        code,
      });
    });
  });
}

const runs: Run[] = [];
for (let rows = 1e4; rows <= Number(largest); rows *= 10) {
  const table = makeTable(rows);
  runs.push(await run(rows, table));
  console.log(JSON.stringify(runs.at(-1)));
}
rmSync(folder, { recursive: true });
writeFileSync(out, JSON.stringify({ node: process.version, runs }, null, 2) + "\n");
