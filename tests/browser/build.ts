/** Once for a whole run of the browser tests: the explorer as it is built, unless who runs them has built it. */
import { rmSync } from "node:fs";
import { buildExplorer, BUILT_VARIABLE } from "./served.js";

export default async function setup(): Promise<() => void> {
  if (process.env[BUILT_VARIABLE] !== undefined) return () => undefined;
  const folder = await buildExplorer();
  process.env[BUILT_VARIABLE] = folder;
  return () => rmSync(folder, { recursive: true, force: true });
}
