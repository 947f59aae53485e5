import { fileURLToPath } from "node:url";
import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vitest/config";

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));
const root = here("..");

/** Whole tickets of the catalog that ships, processes of their own, simulated benches: not for every save of a file. */
const LONG = [
  "tests/scenarios/**",
  "tests/command/{weigh,call,check,race,fixed,tune,lines}.test.ts",
  "tests/learn/{fit,tally,tune}.test.ts",
  "tests/practice/**",
  "tests/plan/optimal/**",
  "tests/belief/agreement.test.ts",
  "tests/docs.test.ts",
];

/** Tests that run in node. */
const inNode = (name: string, include: string[], exclude: string[]) => ({
  // state classes hold runes, which only the browser build of svelte makes live
  plugins: [svelte({ configFile: here("../explorer/svelte.config.js") })],
  resolve: { conditions: ["browser"] },
  root,
  test: {
    name,
    include,
    exclude,
    testTimeout: 60_000,
    // nothing here keeps state that a later file could see, and loading the modules anew costs as much as testing them
    isolate: false,
  },
});

export default defineConfig({
  root,
  test: {
    projects: [
      inNode("fast", ["tests/**/*.test.ts"], ["tests/browser/**", ...LONG]),
      inNode(
        "long",
        LONG.map((path) => path.replace(/\*\*$/, "**/*.test.ts")),
        [],
      ),
      {
        root,
        test: {
          name: "browser", // the tests run in node and drive a real browser from there
          include: ["tests/browser/**/*.test.ts"],
          globalSetup: here("browser/build.ts"),
          testTimeout: 120_000,
          hookTimeout: 120_000,
          fileParallelism: false,
          isolate: false, // as above
        },
      },
    ],
  },
});
