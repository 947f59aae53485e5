import { fileURLToPath } from "node:url";
import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vitest/config";

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));
const root = here("..");

export default defineConfig({
  root,
  test: {
    projects: [
      {
        // state classes hold runes, which only the browser build of svelte makes live
        plugins: [svelte({ configFile: here("../explorer/svelte.config.js") })],
        resolve: { conditions: ["browser"] },
        root,
        test: {
          name: "node",
          include: ["tests/**/*.test.ts"],
          exclude: ["tests/browser/**"],
          testTimeout: 30_000,
          // nothing here keeps state that a later file could see, and loading the modules anew costs as much as testing them
          isolate: false,
        },
      },
      {
        root,
        test: {
          name: "browser", // the tests run in node and drive a real browser from there
          include: ["tests/browser/**/*.test.ts"],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          fileParallelism: false,
        },
      },
    ],
  },
});
