/** The lessons: what they say is what closed forms say, and every one of their texts, figures and questions holds together. */
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { Catalog } from "../../engine/catalog/schema.js";
import { valuesOf } from "../../engine/practice/lesson/controls.js";
import { Player } from "../../engine/practice/lesson/play.js";
import { choicesOf, isRight, rightChoices } from "../../engine/practice/lesson/questions.js";
import { Lesson, type ControlValues } from "../../engine/practice/lesson/schema.js";
import { checkTicket } from "../../engine/ticket/checkTicket.js";
import { pieces } from "../../explorer/lessons/words.js";
import successRun from "../references/success-run.json";

const folder = new URL("../../scenarios/lessons/", import.meta.url);
const files = readdirSync(folder).filter((name) => name.endsWith(".json"));
const read = (name: string): Lesson => Lesson.parse(JSON.parse(readFileSync(new URL(name, folder), "utf8")));
const lessons = files.map(read);

/** A lesson's figures with some controls moved. */
function played(id: string) {
  const lesson = lessons.find((l) => l.id === id)!;
  const player = new Player(lesson);
  return (moved: ControlValues = {}) => player.all({ ...valuesOf(lesson), ...moved });
}
const EXACT = 12;

const textsOf = ({ parts }: Lesson): string[] =>
  parts.flatMap((part) =>
    "text" in part ? [part.text] : "ask" in part ? [part.ask, part.because, ...choicesOf(part)] : [],
  );

/** Numbers that would come from nowhere; "one", "two" and "three" have other uses, "a hundred" is a unit of the controls. */
const WORDED =
  /\b(half|quarter|every (second|third)|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|twenty|thirty|forty|fifty|dozen)\b/i;

test("there are at least eight, each with controls, a chart and two questions", () => {
  expect(lessons.length).toBeGreaterThanOrEqual(8);
  for (const { parts, controls } of lessons) {
    expect(controls.length).toBeGreaterThan(0);
    expect(parts.some((part) => "chart" in part)).toBe(true);
    expect(parts.filter((part) => "ask" in part).length).toBeGreaterThanOrEqual(2);
  }
});

describe.each(lessons.map((lesson) => [lesson.id, lesson] as const))("%s", (_, lesson) => {
  const player = new Player(lesson);
  const values = valuesOf(lesson);
  const figures = player.all(values);

  test("its ticket is a good one and every figure is a number", () => {
    expect(checkTicket(lesson.ticket.catalog as Catalog, lesson.ticket)).toEqual([]);
    for (const value of Object.values(figures)) expect(Number.isFinite(value)).toBe(true);
  });

  test("every name in its texts is a figure or a control, and no digit stands beside them", () => {
    const texts = textsOf(lesson);
    for (const text of texts) {
      const said = pieces(text, lesson, values, figures, { right: "this" });
      expect(said.filter((piece) => piece.live && piece.text.startsWith("{"))).toEqual([]);
      expect(said.filter((piece) => !piece.live && /\d/.test(piece.text))).toEqual([]);
    }
    // a typed-in figure is refused
    const typed = { ...lesson, parts: [...lesson.parts, { text: "It is 40 %." }] };
    expect(Lesson.safeParse(typed).success).toBe(false);
  });

  test("no number is typed in as a word either", () => {
    // the share that a bound is asked for at defines the bound, and is no result
    for (const text of textsOf(lesson))
      expect(text.replace("nineteen chances in twenty", "")).not.toMatch(WORDED);
  });

  test("of each question one answer is right, and another is not", () => {
    for (const part of lesson.parts)
      if ("ask" in part) {
        const [right, wrong] =
          "guess" in part
            ? [figures[part.guess]!, figures[part.guess]! + 1000]
            : [
                rightChoices(part, figures)[0]!,
                choicesOf(part).findIndex((_, k) => !isRight(part, k, figures)),
              ];
        expect(isRight(part, right, figures)).toBe(true);
        expect(isRight(part, wrong, figures)).toBe(false);
      }
  });

  test("nothing that stands before a guess tells it", () => {
    lesson.parts.forEach((part, k) => {
      if (!("guess" in part)) return;
      for (const earlier of lesson.parts.slice(0, k)) {
        if (!("ask" in earlier) && !("text" in earlier)) continue;
        const told =
          "text" in earlier ? [earlier.text] : [earlier.ask, earlier.because, ...choicesOf(earlier)];
        expect(told.join(" ")).not.toContain(`{${part.guess}}`);
      }
    });
  });

  test("at the ends of its controls the engine still answers", () => {
    for (const { id, min, max } of lesson.controls)
      for (const end of [min, max]) expect(player.all({ ...values, [id]: end })).toBeTypeOf("object");
  });
});

describe("answers that are equally right", () => {
  const lesson = lessons.find((l) => l.id === "moving-is-reseating")!;
  const question = lesson.parts.find((part) => "ask" in part && "right" in part)!;

  test("where the figures are the same, either choice is right; where they are not, the larger", () => {
    if (!("ask" in question)) throw new Error("no question");
    const tied = played(lesson.id)({ cures: 0 }); // a move that cures nothing tells nothing
    expect([0, 1].map((k) => isRight(question, k, tied))).toEqual([true, true]);
    const cured = played(lesson.id)({ cures: 70 });
    expect([0, 1].map((k) => isRight(question, k, cured))).toEqual([true, false]);
  });
});

test("with the controls moved, what the texts claim of the figures is still so", () => {
  // the module of "moving is reseating" stops at the share of starts that the text gives
  expect(played("moving-is-reseating")().shows).toBeCloseTo(0.5, EXACT);
  // silence asks for at least as many starts as the suspicion, at times for just as many
  const many = played("how-many");
  expect(many({ oneIn: 2, limit: 1 })).toMatchObject({ run: 7, enough: 7 });
  // a clean start clears nobody, and thirty of a fault that shows seldom do not either
  expect(played("one-clean-start")({ oneIn: 20, clean: 30 }).still).toBeGreaterThan(0.15);
});

describe("one clean start: π(1 − q)ⁿ / (π(1 − q)ⁿ + 1 − π) (Breuer 1973; Kamal & Page 1974, from memory)", () => {
  const lesson = played("one-clean-start");
  test.each([
    [3, 1],
    [3, 7],
    [20, 30],
  ])("a fault at one start in %i, %i clean", (oneIn, clean) => {
    const quiet = (1 - 1 / oneIn) ** clean;
    const { still, quiet: told, weight, other } = lesson({ oneIn, clean });
    expect(told).toBeCloseTo(quiet, EXACT);
    expect(still).toBeCloseTo(quiet / (quiet + 1), EXACT);
    expect(other! + still!).toBeCloseTo(1, EXACT);
    expect(weight).toBeCloseTo(10 * Math.log10(quiet), 9);
  });
  // the published rule's own example, π = 0.5 and q = 0.3: check values B5, made for the rule
  test("q = 0.3: 0.4117647059 after one, 0.1438869246 after five, 0.0274715224 after ten", () => {
    const player = new Player(lessons.find((l) => l.id === "one-clean-start")!);
    for (const [clean, still] of [
      [1, 0.4117647059],
      [5, 0.1438869246],
      [10, 0.0274715224],
    ] as const)
      // prettier-ignore
      expect(player.figure("still", { oneIn: 1 / 0.3, clean })).toBeCloseTo(still, 9);
  });
});

describe(`how many: ${successRun.source}`, () => {
  const lesson = played("how-many");
  test.each(successRun.cases)("reliability $reliability, confidence $confidence: $starts", (one) => {
    const { run } = lesson({ oneIn: 1 / (1 - one.reliability), limit: 100 * (1 - one.confidence) });
    expect(run).toBe(one.starts);
  });
  test("π = 0.5, q = 0.1, 5 %: 28 clean starts (check values B5, an example made for the rule)", () =>
    expect(lesson({ oneIn: 10, limit: 5 }).enough).toBe(28));
});

describe("never seen it stop: a rate that is uniform before", () => {
  const lesson = played("never-seen-it-stop");
  // exact 95 % bounds beside the rule of three, Hanley & Lippman-Hand 1983 (JAMA 249:1743), from memory, recomputed:
  // 1 − 0.05^(1/n); a uniform prior has seen one clean start more
  test.each([
    [10, 0.2588655509],
    [20, 0.1391083407],
    [50, 0.0581550791],
    [100, 0.0295130496],
  ])("the bound of the rule of three, n = %i", (n, bound) => {
    const { high } = lesson({ clean: n - 1, stops: 0 });
    expect(high).toBeCloseTo(bound, 8);
    expect(Math.abs(high! / (3 / n) - 1)).toBeLessThan(0.14);
  });
  test("I₀.₀₅(1, 59) = 0.951505474750577: 58 clean starts are enough for 5 %, 57 are not (check values B2)", () => {
    expect(lesson({ clean: 58, stops: 0 }).high).toBeLessThan(0.05);
    expect(lesson({ clean: 57, stops: 0 }).high).toBeGreaterThan(0.05);
    expect(1 - 0.95 ** 59).toBeCloseTo(0.951505474750577, EXACT);
  });
  test.each([
    [20, 0],
    [20, 3],
    [0, 1],
  ])("the next start after %i clean and %i stops: beta–binomial, (1 + k)/(2 + n)", (clean, stops) => {
    const { next, mean } = lesson({ clean, stops });
    expect(next).toBeCloseTo((1 + stops) / (2 + clean + stops), EXACT);
    expect(mean).toBeCloseTo(next!, EXACT);
  });
});

test("a swap that removes three suspects leaves their odds as they were: o(firmware) / o(board)", () => {
  const odds = (p: number) => p / (1 - p);
  for (const clean of [0, 8, 20])
    for (const firmware of [1, 12, 30]) {
      const figures = played("swap-names-nobody")({ clean, firmware });
      expect(figures.ratio).toBeCloseTo(odds(firmware / 100) / odds(0.06), 9);
      expect(figures.ratio).toBeCloseTo(figures.ratioBefore!, 9);
    }
});

test("moving is reseating: contact η + (1 − η)(1 − r)ⁿ against module (1 − r)ⁿ, of equal odds", () => {
  const lesson = played("moving-is-reseating");
  for (const [cures, clean] of [
    [70, 3],
    [0, 5],
    [95, 20],
  ] as const) {
    // prettier-ignore
    const [eta, quiet] = [cures / 100, 0.5 ** clean];
    const [contact, module] = [eta + (1 - eta) * quiet, quiet];
    const figures = lesson({ cures, clean });
    expect(figures.contact).toBeCloseTo(contact / (contact + module), EXACT);
    expect(figures.left).toBeCloseTo(((1 - eta) * quiet) / (contact + module), EXACT);
  }
});

test("cold mornings: n warm starts weigh (1 − r)^0.05n, so one cold start says as much as twenty", () => {
  const lesson = played("cold-mornings");
  for (const warm of [0, 10, 40]) {
    const quiet = 0.6 ** (0.05 * warm);
    expect(lesson({ warm, cold: 0 }).afterWarm).toBeCloseTo(quiet / (quiet + 1), 11);
  }
  expect(lesson({ warm: 20, cold: 0 }).enoughCold).toBe(1);
  expect(lesson({ warm: 21, cold: 0 }).enoughCold).toBe(2);
});

test("the dearest part: shares are odds of 1 − exp(−rate × quarter of a year), whatever all of them explain", () => {
  const odds = (rate: number) => Math.expm1(rate * 0.25);
  const [firmware, contact, module] = [odds(0.03), odds(0.06), odds(0.02)];
  for (const [board, stops] of [
    [10, 3],
    [60, 20],
    [1, 1],
  ] as const) {
    // prettier-ignore
    const own = odds(board / 1000);
    const figures = played("dearest-part")({ board, stops });
    expect(figures.boardIs).toBeCloseTo(own / (own + firmware + contact + module), EXACT);
    expect(figures.boardIs).toBeCloseTo(figures.prior!, EXACT);
  }
});

test("not on the list: two Dirichlet–multinomials of 1/4 against a leak, by products of (1/4 + k)/(1 + n)", () => {
  // ordered: first memory ×4, clean ×6; then memory ×m, clean ×1
  const rising = (counts: number[]) => {
    let [p, n] = [1, 0];
    for (const count of counts) for (let k = 0; k < count; k++) p *= (0.25 + k) / (1 + n++);
    return p;
  };
  for (const [again, share] of [
    [1, 3],
    [3, 3],
    [12, 20],
  ] as const) {
    // prettier-ignore
    const alike = rising([4 + again, 6 + 1]);
    const apart = rising([4, 6]) * rising([again, 1]);
    const leak = 0.01 * 0.4; // at memory; clean 0.99
    const stop = 1 - 0.002 - (1 - 0.006) * 0.6; // neither dead by the leak nor later than memory
    const module = stop ** 4 * (0.6 * 0.99) ** 6 * leak ** again * 0.99;
    const none = leak ** (4 + again) * 0.99 ** 7;
    const u = share / 100;
    const total = 0.5 * u * (alike + apart) + (1 - 0.02 - u) * module + 0.02 * none;
    const { now } = played("not-on-the-list")({ again, unlisted: share });
    expect(now).toBeCloseTo((0.5 * u * (alike + apart)) / total, 9);
  }
});

test("two at once: every set's chance of every start, worked by hand", () => {
  const [r, leakDead, leakMemory, leakClean] = [0.4, 0.02 * 0.2, 0.02 * 0.4, 0.98];
  // P(later than a stage) is the product of what does not stop there: dead, then memory, then no picture
  const chances = (module: boolean, supply: boolean) => {
    const [m, s] = [module ? 1 - r : 1, supply ? 1 - r : 1];
    const afterDead = (1 - leakDead) * s;
    const afterMemory = (1 - leakDead - leakMemory) * s * m;
    return { dead: 1 - afterDead, memory: afterDead - afterMemory, clean: leakClean * s * m };
  };
  const odds = 0.1 / 0.9;
  const sets = [
    { module: true, supply: false, weight: odds },
    { module: false, supply: true, weight: odds },
    { module: true, supply: true, weight: odds * odds },
  ];
  const weights = sets.map(({ weight }) => (0.95 * weight) / (2 * odds + odds * odds));
  const moved = { dead: 2, memory: 3, after: 1, clean: 4 };
  const likelihood = (module: boolean, supply: boolean) => {
    const [first, after] = [chances(module, supply), chances(false, supply)];
    return first.dead ** moved.dead * first.memory ** moved.memory * first.clean ** 5 * after.dead ** moved.after * after.clean ** moved.clean; // prettier-ignore
  };
  const joint = sets.map(({ module, supply }, k) => weights[k]! * likelihood(module, supply));
  const total = joint.reduce((sum, x) => sum + x, 0.05 * likelihood(false, false));
  const figures = played("two-at-once")(moved);
  expect(figures.module).toBeCloseTo(joint[0]! / total, 10);
  expect(figures.supply).toBeCloseTo(joint[1]! / total, 10);
  expect(figures.both).toBeCloseTo(joint[2]! / total, 10);
  expect(figures.left).toBeCloseTo((joint[1]! + joint[2]!) / total, 10);
});
