/**
 * Seeded uniforms: the only source of chance in the engine.
 */
import { randomLcg } from "d3-random";

const GOLDEN = 0.6180339887498949;

/** Uniforms in [0, 1) from a whole-number seed; neighbouring seeds are spread and the first few values dropped. */
export function seededUniform(seed: number): () => number {
  const uniform = randomLcg(((seed + 1) * GOLDEN) % 1);
  for (let k = 0; k < 8; k++) uniform();
  return uniform;
}
