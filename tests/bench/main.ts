/**
 * npm run bench: how long the engine takes, on one core, medians; and its ratio to a general-purpose library.
 */
import { advise } from "../../engine/plan/advise.js";
import { besideLibrary } from "./general.js";
import { median, table } from "./clock.js";
import { tuning } from "./tuning.js";
import { afterStart, candidates, rank, stateOf } from "./rank.js";
import { presses } from "./page.js";
import { weights, type Weight } from "./weight.js";
import { workbench } from "./workbench.js";

/** The compiler of the machine that runs this has seen the code by then, as on a page that has been open for some presses. */
const WARM_UPS = 10;

const ms = (x: number) => x.toFixed(x < 10 ? 2 : 0);

interface Row {
  add: number;
  one: number;
  two: number;
}

function measure(causes: number, starts: number, wanted: number, maxCauses: number, times: number): Row {
  const bench = workbench(causes, starts, maxCauses);
  const state = stateOf(bench);
  const list = candidates(state, bench, wanted);
  for (let k = 0; k < WARM_UPS; k++) afterStart(state, (after) => rank(after, list, [1, 2]));
  return {
    add: median(() => afterStart(state), times),
    one: median(() => afterStart(state, (after) => rank(after, list, [1])), times),
    two: median(() => afterStart(state, (after) => rank(after, list, [1, 2])), Math.ceil(times / 2)),
  };
}

function fullAdvice(causes: number, maxCauses: number): string[] {
  const bench = workbench(causes, 40, maxCauses);
  const state = stateOf(bench);
  const list = candidates(state, bench, 60);
  for (let k = 0; k < WARM_UPS / 2; k++) advise(state, bench.ticket);
  const first = median(() => void rank(state, list, [1]), 7);
  return [ms(first), ms(median(() => void advise(state, bench.ticket), 7))];
}

function report(title: string, label: string, cases: readonly (readonly [string, Row])[]): void {
  console.log(`\n${title}`);
  console.log(
    table(
      [label, "add a start, ms", "add and rank n = 1, ms", "add and rank n = 1 and 2, ms"],
      cases.map(([name, r]) => [name, ms(r.add), ms(r.one), ms(r.two)]),
    ),
  );
}

console.log(
  `node ${process.version}, one thread, medians after ${WARM_UPS} runs to warm up; 8 outcomes, nominal exposures`,
);
report("the target: 80 causes, sets of up to 2, 40 starts, 60 candidates", "", [
  ["", measure(80, 40, 60, 2, 15)],
]);
console.log("\nfull advice: every candidate, every batch size, answers, cost to the end");
console.log(
  table(
    ["", "first answer (n = 1), ms", "full advice, ms"],
    [
      ["80 causes, K = 2", ...fullAdvice(80, 2)],
      ["80 causes, K = 1", ...fullAdvice(80, 1)],
    ],
  ),
);
report(
  "causes (40 starts, 60 candidates, K = 2)",
  "causes",
  [20, 40, 80, 120].map((c) => [String(c), measure(c, 40, 60, 2, 7)] as const),
);
report(
  "starts (40 causes, 60 candidates, K = 2)",
  "starts",
  [20, 40, 80, 160, 320].map((t) => [String(t), measure(40, t, 60, 2, 7)] as const),
);
report(
  "candidates (80 causes, 40 starts, K = 2)",
  "candidates",
  [15, 30, 60].map((n) => [String(n), measure(80, 40, n, 2, 7)] as const),
);
report("single faults and triples", "", [
  ["80 causes, K = 1", measure(80, 40, 60, 1, 15)],
  ["30 causes, K = 3", measure(30, 40, 60, 3, 3)],
]);

console.log(
  "\nthe same single-fault model by enumeration in a general-purpose library (webppl), from the record to the posterior",
);
const compared = [
  await besideLibrary(20, 40, 7),
  await besideLibrary(40, 40, 7),
  await besideLibrary(80, 40, 7),
];
console.log(
  table(
    ["causes", "engine, ms", "library, ms", "ratio", "largest difference of the posteriors"],
    compared.map((c) => [
      String(c.causes),
      ms(c.engineMs),
      ms(c.libraryMs),
      (c.libraryMs / c.engineMs).toFixed(1),
      c.difference.toExponential(1),
    ]),
  ),
);

const tuned = tuning(20_000);
console.log(
  `\ntuning on a table of ${tuned.rows} past tickets: read in ${tuned.read.toFixed(2)} s, fitted and tested in ${tuned.fit.toFixed(2)} s`,
);

const { first, later } = await weights();
const kilobytes = (list: readonly Weight[]) => list.reduce((sum, one) => sum + one.kilobytes, 0).toFixed(0);
console.log(
  `\nscripts of the ticket page, gzip: ${kilobytes(first)} kB before it stands (target 250), the others when asked for`,
);
console.log(
  table(
    ["script", "when", "kB", "of which, each compressed alone"],
    [first, later].flatMap((list) =>
      list
        .filter((one) => one.kilobytes >= 5)
        .map((one) => [one.name, list === first ? "at once" : "later", one.kilobytes.toFixed(0), one.holds]),
    ),
  ),
);

console.log(
  "\na press on the page, Chromium with its processor slowed down four times; medians in ms, each until it is painted",
);
console.log(
  table(
    ["", "pending mark (target 50)", "mark on the disk", "belief (target 100)", "the handler alone"],
    (await presses()).map((p) => [p.what, ms(p.pending), ms(p.solid), ms(p.belief), ms(p.held)]),
  ),
);
