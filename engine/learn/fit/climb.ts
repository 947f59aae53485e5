/**
 * Newton's method uphill in three coordinates: damped (Levenberg 1944), so that no step ever goes down. The matrix of second
 * derivatives comes from differences of the gradient.
 */
import type { Point } from "./betaBinomial.js";

export interface Hill {
  value: number;
  gradient: Point;
}

export interface Top {
  at: Point;
  value: number;
  curvature: number[];
}

const STEP = 1e-5;
const CLOSE = 1e-10;

/**
 * @param held  coordinates that stay where they are
 * @param most  steps that are taken; those that would lead down are tried again, shorter, and do not count
 */
export function climb(hill: (x: Point) => Hill, from: Point, held: readonly boolean[], most = 60): Top {
  const free = [0, 1, 2].filter((j) => !held[j]);
  let top: Top & Hill = { at: from, ...hill(from), curvature: curvatureAt(hill, from, free) };
  let damping = 1e-6;
  for (let turn = 0; turn < most; turn++) {
    const step = uphill(hill, top, free, damping);
    if (step === null) break;
    top = { at: step.at, ...step.there, curvature: curvatureAt(hill, step.at, free) };
    damping = Math.max(1e-9, step.damping / 10);
    if (step.moved < CLOSE) break;
  }
  return { at: top.at, value: top.value, curvature: top.curvature };
}

/** The longest of ever more damped steps that does not lead down; null where none does. */
function uphill(hill: (x: Point) => Hill, top: Top & Hill, free: readonly number[], from: number) {
  for (let damping = from; damping <= 1e12; damping *= 10) {
    const step = solve(top.curvature, top.gradient, free, damping);
    const at = top.at.map((x, j) => x + Math.max(-2, Math.min(2, step[j]!))) as Point;
    const there = hill(at);
    if (there.value >= top.value && Number.isFinite(there.value))
      return { at, there, damping, moved: Math.max(...step.map(Math.abs)) };
  }
  return null;
}

/** Minus the second derivatives at a point; 3 × 3, row-major; rows of coordinates that are held are 0. */
export function curvatureAt(hill: (x: Point) => Hill, at: Point, free: readonly number[]): number[] {
  const matrix = new Array<number>(9).fill(0);
  for (const i of free) {
    const [up, down] = [STEP, -STEP].map(
      (d) => hill(at.map((x, j) => (j === i ? x + d : x)) as Point).gradient,
    );
    for (const j of free) matrix[3 * i + j] = -(up![j]! - down![j]!) / (2 * STEP);
  }
  for (const i of free)
    for (const j of free)
      if (i < j) matrix[3 * i + j] = matrix[3 * j + i] = (matrix[3 * i + j]! + matrix[3 * j + i]!) / 2;
  return matrix;
}

/** (curvature + damping) step = gradient, by elimination; a direction that curves upward is damped by its size. */
function solve(
  curvature: readonly number[],
  gradient: Point,
  free: readonly number[],
  damping: number,
): Point {
  const size = Math.max(1e-12, ...free.map((j) => Math.abs(curvature[3 * j + j]!)));
  const rows = free.map((i) => [
    ...free.map((j) => curvature[3 * i + j]! + (i === j ? damping * size : 0)),
    gradient[i]!,
  ]);
  const step: Point = [0, 0, 0];
  const solved = eliminated(rows);
  free.forEach((j, k) => (step[j] = solved[k]!));
  // a step that does not lead uphill is no step: follow the gradient instead
  const rises = free.reduce((sum, j) => sum + step[j]! * gradient[j]!, 0) > 0;
  if (rises && step.every(Number.isFinite)) return step;
  free.forEach((j) => (step[j] = gradient[j]! / (size * (1 + damping))));
  return step;
}

function eliminated(rows: number[][]): number[] {
  const n = rows.length;
  for (let i = 0; i < n; i++) {
    const best = rows
      .slice(i)
      .reduce((top, row, k) => (Math.abs(row[i]!) > Math.abs(rows[top]![i]!) ? k + i : top), i);
    [rows[i], rows[best]] = [rows[best]!, rows[i]!];
    for (let r = 0; r < n; r++) {
      if (r === i) continue;
      const factor = rows[r]![i]! / rows[i]![i]!;
      for (let j = i; j <= n; j++) rows[r]![j]! -= factor * rows[i]![j]!;
    }
  }
  return rows.map((row, i) => row[n]! / row[i]!);
}

/** Standard deviations from the curvature: the diagonal of its inverse; NaN for what was held. */
export function spreadOf(curvature: readonly number[], held: readonly boolean[]): Point {
  const free = [0, 1, 2].filter((j) => !held[j]);
  const spread: Point = [NaN, NaN, NaN];
  free.forEach((j, k) => {
    const rows = free.map((i, r) => [...free.map((c) => curvature[3 * i + c]!), r === k ? 1 : 0]);
    const variance = eliminated(rows)[k]!;
    spread[j] = variance > 0 ? Math.sqrt(variance) : NaN;
  });
  return spread;
}
