import { fileURLToPath } from "node:url";
import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vite";
import { precache } from "./precache.js";

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

export default defineConfig({
  root: here("."),
  base: "./", // the built pages work from any folder
  plugins: [svelte({ configFile: here("svelte.config.js") }), precache()],
  worker: { format: "es" },
  // named, so that the server of `npm start` has them ready and does not load the page anew when it meets one
  optimizeDeps: {
    include: [
      "@observablehq/plot",
      "@stdlib/math-base-special-gammaln",
      "d3",
      "d3-random",
      "fastest-levenshtein",
      "idb",
      "jsqr",
      "jstat",
      "mathjs",
      "mathjs/number",
      "papaparse",
      "qrcode-generator",
      "zod",
    ],
  },
  server: { fs: { allow: [here("..")] } }, // engine, priors and scenarios lie beside explorer
  build: { outDir: here("../dist"), emptyOutDir: true },
});
