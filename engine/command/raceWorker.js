// One of several that share the tickets of a race; TypeScript from its source, as the command itself.
import { register } from "tsx/esm/api";

register();
await import("./raceWorker.ts");
