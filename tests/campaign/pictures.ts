/** Pictures of a campaign, as SVG text: a campaign has no page to draw on. */
import { scaleLinear } from "d3";
import type { Decile } from "../practice/claims.js";

const [WIDTH, HEIGHT, EDGE] = [480, 240, 40];

const svg = (title: string, marks: string[]): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" font-family="sans-serif" font-size="12">` +
  `<title>${title}</title><rect width="100%" height="100%" fill="white"/>` +
  `<text x="${EDGE}" y="16">${title}</text>${marks.join("")}</svg>\n`;

/** Histograms of ranks side by side, with the band in which 95 % of uniform bins would lie (binomial, by the normal law). */
export function rankPicture(singles: readonly number[], pairs: readonly number[]): string {
  const half = (WIDTH - EDGE) / 2;
  const panel = (counts: readonly number[], name: string, left: number): string[] => {
    const n = counts.reduce((sum, c) => sum + c, 0);
    const expected = n / counts.length;
    const spread = 1.96 * Math.sqrt(expected * (1 - 1 / counts.length));
    const y = scaleLinear([0, 1.5 * expected], [HEIGHT - EDGE, 30]);
    const x = scaleLinear([0, counts.length], [left, left + half - 16]);
    return [
      ...counts.map(
        (c, k) =>
          `<rect x="${x(k) + 0.5}" y="${y(c)}" width="${x(1) - x(0) - 1}" height="${y(0) - y(c)}" fill="#0072b2"/>`,
      ),
      ...[expected - spread, expected, expected + spread].map(
        (c, k) =>
          `<line x1="${x(0)}" x2="${x(counts.length)}" y1="${y(c)}" y2="${y(c)}" stroke="black" stroke-dasharray="${k === 1 ? "none" : "3 3"}"/>`,
      ),
      `<text x="${left}" y="${HEIGHT - EDGE + 18}">${name}, rank 0 to 1</text>`,
    ];
  };
  return svg("Ranks of the true rate within its posterior", [
    ...panel(singles, "one cause", EDGE / 2),
    ...panel(pairs, "two causes", EDGE / 2 + half),
  ]);
}

/** What was so against what was said, by decile, with 95 % intervals and the line of those that agree. */
export function decilePicture(deciles: readonly Decile[]): string {
  const x = scaleLinear([0, 1], [EDGE, HEIGHT]);
  const y = scaleLinear([0, 1], [HEIGHT - EDGE, 30]);
  return svg("Of what was said, so much was so", [
    `<line x1="${x(0)}" y1="${y(0)}" x2="${x(1)}" y2="${y(1)}" stroke="gray"/>`,
    ...deciles.flatMap(({ said, so, low, high, tickets }) => [
      `<line x1="${x(said)}" x2="${x(said)}" y1="${y(low)}" y2="${y(high)}" stroke="#0072b2" stroke-width="2"/>`,
      `<circle cx="${x(said)}" cy="${y(so)}" r="3.5" fill="#0072b2"><title>${tickets} tickets</title></circle>`,
    ]),
    `<text x="${x(0)}" y="${HEIGHT - EDGE + 18}">said, 0 to 1</text>`,
  ]);
}
