/**
 * Older formats brought up to the present one.
 *
 * There is no older format yet. When one is, add a step here: a pure function from the data of version n to that of
 * n + 1, keyed by the format it reads; `migrate` applies them in turn.
 */
type Data = Record<string, unknown>;

const STEPS: Record<string, (data: Data) => Data> = {};

export function migrate(data: unknown): unknown {
  let current = data as Data;
  for (let step = STEPS[String(current["format"])]; step; step = STEPS[String(current["format"])])
    current = step(current);
  return current;
}
