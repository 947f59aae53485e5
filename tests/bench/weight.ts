/** What a browser must fetch before the ticket page stands, and what comes later; compressed as a web server would. */
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build, type Rolldown } from "vite";

const configFile = fileURLToPath(new URL("../../explorer/vite.config.ts", import.meta.url));
/** Libraries whose share is told apart. */
const LIBRARIES = {
  Plot: /\/@observablehq\/plot\//,
  d3: /\/(d3|d3-[a-z-]+|internmap|delaunator)\//,
  mathjs: /\/mathjs\//,
  zod: /\/zod\//,
};

export interface Weight {
  name: string;
  /** kilobytes, gzip */
  kilobytes: number;
  /** libraries in it, kilobytes each when compressed alone */
  holds: string;
}

export async function weights(): Promise<{ first: Weight[]; later: Weight[] }> {
  process.env.NODE_ENV = "production";
  const built = (await build({
    configFile,
    logLevel: "silent",
    build: { write: false },
  })) as Rolldown.RolldownOutput;
  const chunks = built.output.filter((file) => file.type === "chunk");
  const entry = chunks.find((chunk) => chunk.isEntry && chunk.name === "index")!;
  const first = new Set<string>();
  const need = (name: string) => {
    if (first.has(name)) return;
    first.add(name);
    chunks.find((chunk) => chunk.fileName === name)?.imports.forEach(need);
  };
  need(entry.fileName);
  const weighed = chunks.map((chunk) => ({ file: chunk.fileName, weight: weightOf(chunk) }));
  const largest = (isFirst: boolean) =>
    weighed
      .filter(({ file }) => first.has(file) === isFirst)
      .map(({ weight }) => weight)
      .sort((x, y) => y.kilobytes - x.kilobytes);
  return { first: largest(true), later: largest(false) };
}

const gzipped = (text: string) => gzipSync(text).length / 1000;

function weightOf(chunk: Rolldown.OutputChunk): Weight {
  const holds = Object.entries(LIBRARIES).flatMap(([name, path]) => {
    const code = Object.entries(chunk.modules)
      .filter(([id]) => path.test(id))
      .map(([, module]) => module.code ?? "");
    return code.length > 0 ? [`${name} ${gzipped(code.join("")).toFixed(0)}`] : [];
  });
  return { name: chunk.name, kilobytes: gzipped(chunk.code), holds: holds.join(", ") };
}
