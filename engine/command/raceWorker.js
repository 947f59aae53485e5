// One of several that share the tickets of a race.
import { load } from "./bundle.js";

await load("raceWorker");
