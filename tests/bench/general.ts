/**
 * The same model in a general-purpose probabilistic-programming library from npm (webppl, by enumeration): one fault,
 * rates on the engine's own quadrature points, forty starts.
 */
import webppl from "webppl";
import { modelOf } from "../../engine/belief/model.js";
import { startBelief } from "../../engine/belief/belief.js";
import { presence } from "../../engine/belief/summary.js";
import { outcomeTable } from "../../engine/belief/outcomes.js";
import { PLAIN, ruleIn } from "../../engine/numeric/compact.js";
import { fineRule } from "../../engine/numeric/fine.js";
import { stateOf } from "./rank.js";
import { workbench } from "./workbench.js";

const POINTS = 24;

export interface Comparison {
  causes: number;
  engineMs: number;
  libraryMs: number;
  /** largest difference of the two posteriors */
  difference: number;
}

export async function besideLibrary(causes: number, starts: number, times: number): Promise<Comparison> {
  const bench = workbench(causes, starts, 1);
  const engine: number[] = [];
  const library: number[] = [];
  let ours = new Float64Array(0);
  let theirs: number[] = [];
  const program = libraryProgram(bench);
  for (let k = 0; k < times; k++) {
    let at = performance.now();
    ours = Float64Array.from(presence(stateOf(bench).belief).present);
    engine.push(performance.now() - at);
    at = performance.now();
    theirs = await run(program, causes);
    library.push(performance.now() - at);
  }
  const middle = (list: number[]) => list.sort((x, y) => x - y)[Math.floor(times / 2)]!;
  return {
    causes,
    engineMs: middle(engine),
    libraryMs: middle(library),
    difference: Math.max(...theirs.map((p, i) => Math.abs(p - ours[i]!))),
  };
}

/** A program over (cause, point of its rate) with the log likelihood of each as the factor. */
function libraryProgram(bench: ReturnType<typeof workbench>): string {
  const model = modelOf(bench.catalog, bench.ticket);
  const { belief } = stateOf(bench);
  const start = startBelief(model);
  const steps = belief.history.flatMap((s) => (s.kind === "trials" ? [s] : []));
  const leak = outcomeTable(model.stages, []);
  const causes = model.causes.map((cause, i) => {
    if (!("a" in cause.rate)) throw new Error("bench: found a fixed rate, expected Beta rates");
    const fine = fineRule(cause.rate.hard, cause.rate.a, cause.rate.b, 60);
    const { rule } = { rule: ruleIn(fine, PLAIN, POINTS) };
    const shown = outcomeTable(model.stages, [i]);
    const rows = steps.flatMap((s) =>
      s.rows.map((row) => ({ outcome: row.wanted.indexOf(1), n: row.n, exposed: s.exposure[i]! > 0 })),
    );
    return {
      prior: model.prior.set[1 + i]!,
      rate: [...rule.rate],
      weight: [...rule.weight],
      rows: rows.map(({ outcome, n, exposed }) => ({
        n,
        hidden: leak[outcome],
        shown: exposed ? shown[outcome * 2 + 1] : leak[outcome],
      })),
    };
  });
  const nothing = {
    prior: model.prior.set[0]!,
    likelihood: steps
      .flatMap((s) => s.rows)
      .reduce((l, row) => l + row.n * Math.log(leak[row.wanted.indexOf(1)]!), 0),
  };
  const unlisted = {
    prior: model.prior.unlisted,
    likelihood: unlistedLog(belief.unlistedMass, belief.logEvidence, start.unlistedMass),
  };
  // handed over as globals: as literals they overflow the library's transformation of the program
  Object.assign(globalThis, { benchCauses: causes, benchOthers: [nothing, unlisted] });
  return `
    var causes = benchCauses;
    var others = benchOthers;
    var C = causes.length;
    Infer({ method: "enumerate" }, function () {
      var c = categorical({ ps: map(function (x) { return x.prior; }, causes.concat(others)), vs: mapN(function (k) { return k; }, C + 2) });
      if (c >= C) { factor(others[c - C].likelihood); return c; }
      var cause = causes[c];
      var k = categorical({ ps: cause.weight, vs: mapN(function (x) { return x; }, cause.weight.length) });
      var r = cause.rate[k];
      factor(sum(map(function (row) { return row.n * Math.log(row.hidden * (1 - r) + row.shown * r); }, cause.rows)));
      return c;
    })`;
}

/** ln P(record | unlisted), recovered from the posterior: the library has no such hypothesis of its own. */
const unlistedLog = (posterior: number, logEvidence: number, prior: number) =>
  Math.log(posterior / prior) + logEvidence;

function run(program: string, causes: number): Promise<number[]> {
  return new Promise((resolve) => {
    webppl.run(program, (_: unknown, posterior) =>
      resolve(Array.from({ length: causes }, (__, i) => Math.exp(posterior.score(i)))),
    );
  });
}
