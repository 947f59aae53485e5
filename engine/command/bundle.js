/**
 * The command is TypeScript and runs from its source: made into one file whenever that has changed, which starts several
 * times sooner than its thousand modules one by one.
 */
import { createHash } from "node:crypto";
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const ROOT = fileURLToPath(new URL("../../", import.meta.url));
const ENGINE = join(ROOT, "engine");
const KEPT = join(ROOT, "node_modules/.cache/fitful");

/**
 * What a module of this folder exports.
 * @param {string} name  of its file, without the ending
 */
export async function load(name) {
  const file = `${name}-${hashOfSources()}.mjs`;
  const kept = join(KEPT, file);
  if (existsSync(kept)) return imported(kept);
  const folder = mkdtempSync(join(tmpdir(), "fitful-"));
  try {
    const made = join(folder, file);
    await make(name, made);
    return await imported(keep(name, made, kept) ? kept : made);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const imported = (file) => import(pathToFileURL(file).href);

/** Of everything that the bundle is made of: the engine, and which version of each library there is. */
function hashOfSources() {
  const hash = createHash("sha256").update(readFileSync(join(ROOT, "package-lock.json")));
  const sources = readdirSync(ENGINE, { recursive: true }).filter((name) => /\.(ts|js)$/.test(name));
  for (const name of sources.sort()) hash.update(name).update(readFileSync(join(ENGINE, name)));
  return hash.digest("hex").slice(0, 16);
}

async function make(name, outfile) {
  const { build } = await import("esbuild");
  await build({
    entryPoints: [join(ENGINE, "command", `${name}.ts`)],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node20",
    // libraries that are not modules ask for node's own by `require`
    banner: {
      js: 'import { createRequire } from "node:module"; const require = createRequire(import.meta.url);',
    },
    plugins: [inPlace],
    logLevel: "error",
  });
}

/** A source goes on finding what lies beside it. */
const inPlace = {
  name: "in place",
  setup: ({ onLoad }) =>
    onLoad({ filter: /engine[\\/].*\.ts$/ }, ({ path }) => ({
      contents: readFileSync(path, "utf8").replaceAll(
        "import.meta.url",
        JSON.stringify(pathToFileURL(path).href),
      ),
      loader: "ts",
    })),
};

/** False where it may not be written: then it is made anew each time. Several may do this at once. */
function keep(name, made, kept) {
  try {
    mkdirSync(KEPT, { recursive: true });
    const beside = `${kept}.${process.pid}`;
    copyFileSync(made, beside);
    renameSync(beside, kept);
    for (const old of readdirSync(KEPT).filter((file) => file.startsWith(`${name}-`)))
      if (join(KEPT, old) !== kept && old.endsWith(".mjs")) rmSync(join(KEPT, old));
    return true;
  } catch {
    return false;
  }
}
