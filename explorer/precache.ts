/** A step of the build: the service worker, told of every file there is and named for what is in them. */
import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import type { Plugin } from "vite";

const WORKER = "offline.js";
const source = fileURLToPath(new URL("offline/worker.ts", import.meta.url));

export function precache(): Plugin {
  let publicDir = "";
  return {
    name: "precache",
    apply: "build",
    enforce: "post",
    configResolved: (config) => void ({ publicDir } = config),
    buildStart() {
      this.emitFile({ type: "chunk", id: source, fileName: WORKER });
    },
    generateBundle(_, bundle) {
      const files = new Map<string, string | Uint8Array>();
      for (const [name, file] of Object.entries(bundle))
        if (name !== WORKER) files.set(name, file.type === "chunk" ? file.code : file.source);
      for (const name of readdirSync(publicDir)) files.set(name, readFileSync(`${publicDir}/${name}`));
      const worker = bundle[WORKER];
      if (worker?.type !== "chunk") throw new Error(`${WORKER}: found no chunk, expected the service worker`);
      const names = [...files.keys()].sort();
      const hash = createHash("sha256");
      for (const name of names) hash.update(name).update(files.get(name)!);
      worker.code = worker.code
        .replaceAll("__FILES__", JSON.stringify(names.map((name) => `./${name}`)))
        .replaceAll("__VERSION__", JSON.stringify(hash.digest("hex").slice(0, 12)));
    },
  };
}
