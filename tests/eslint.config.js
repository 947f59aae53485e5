import { fileURLToPath } from "node:url";
import { defineConfig } from "eslint/config";
import svelte from "eslint-plugin-svelte";
import globals from "globals";
import ts from "typescript-eslint";
import svelteConfig from "../explorer/svelte.config.js";
import { parserOver } from "./eslint.parser.js";

const root = fileURLToPath(new URL("..", import.meta.url));
const parser = parserOver(`${root}tsconfig.json`);

/** Imports point one way: `from` must not import what `names` matches. */
const oneWay = (from, names, message) => ({
  files: [from],
  rules: { "no-restricted-imports": ["error", { patterns: [{ regex: names, message }] }] },
});

const OUTWARD = "^node:|/explorer/|/command/|\\.svelte";
const PURE = "the engine is pure: no files, no page, no command";

/** Nothing in the engine may depend on when, where or how often it runs. */
const pure = {
  files: ["engine/**/*.ts"],
  ignores: ["engine/command/**"],
  rules: {
    "no-restricted-globals": [
      "error",
      "window",
      "document",
      "localStorage",
      "fetch",
      "process",
      "Date",
      "performance",
    ],
    "no-restricted-properties": [
      "error",
      { object: "Math", property: "random", message: "seed it: same record, same answer" },
    ],
  },
};

export default defineConfig(
  { ignores: ["dist/", "**/*.json"] },
  ts.configs.strict,
  svelte.configs.recommended,
  {
    languageOptions: { globals: { ...globals.browser, ...globals.node } },
    linterOptions: { reportUnusedDisableDirectives: "error" },
    rules: {
      eqeqeq: "error",
      "no-constant-binary-expression": "error",
      "no-constant-condition": "error",
      "no-fallthrough": "error",
      "no-loss-of-precision": "error",
      "no-self-compare": "error",
      "no-unreachable-loop": "error",
      "no-unused-private-class-members": "error",
      "no-useless-assignment": "error",
      "use-isnan": "error",
      "valid-typeof": "error",
      // arrays of known shape are indexed in every inner loop, and `!` is how the style says "in range"
      "@typescript-eslint/no-non-null-assertion": "off",
      "@typescript-eslint/no-unused-vars": ["error", { argsIgnorePattern: "^_", varsIgnorePattern: "^_" }],
    },
  },
  {
    // a promise that nobody waits for hides its failure
    files: ["**/*.ts", "**/*.svelte"],
    languageOptions: {
      parserOptions: {
        projectService: true,
        tsconfigRootDir: root,
        extraFileExtensions: [".svelte"],
        svelteConfig,
      },
    },
    rules: {
      "@typescript-eslint/await-thenable": "error",
      "@typescript-eslint/no-floating-promises": "error",
      "@typescript-eslint/no-misused-promises": [
        "error",
        { checksVoidReturn: { arguments: false, attributes: false } },
      ],
      "@typescript-eslint/switch-exhaustiveness-check": [
        "error",
        { considerDefaultExhaustiveForUnions: true },
      ],
    },
  },
  { files: ["**/*.svelte", "**/*.svelte.ts"], languageOptions: { parserOptions: { parser } } },
  { files: ["**/*.ts"], ignores: ["**/*.svelte.ts"], languageOptions: { parser } },
  // an outside figure is written with all the digits its source gives
  { files: ["tests/**"], rules: { "no-loss-of-precision": "off" } },
  pure,
  oneWay("engine/{catalog,ticket,numeric}/**/*.ts", `${OUTWARD}|/(belief|plan|learn|practice)/`, PURE),
  oneWay(
    "engine/belief/**/*.ts",
    `${OUTWARD}|/(plan|learn|practice)/`,
    "belief knows nothing of minutes or money",
  ),
  oneWay("engine/plan/**/*.ts", `${OUTWARD}|/(learn|practice)/`, "plan reads belief, never the reverse"),
  oneWay("engine/learn/**/*.ts", OUTWARD, PURE),
  oneWay(
    "engine/practice/**/*.ts",
    `${OUTWARD}|/learn/`,
    "practice plays with plan and belief, and knows nothing of tuning",
  ),
  oneWay("engine/*.ts", OUTWARD, PURE),
  oneWay("engine/command/**/*.ts", "/explorer/", "the command and the pages share the engine only"),
  oneWay(
    "explorer/{*.svelte,*/**/*.{ts,svelte}}",
    "^node:|/command/|/tests/",
    "the pages run in the browser alone",
  ),
);
