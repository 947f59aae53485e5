/** The real command in a process of its own, as a person runs it. */
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll } from "vitest";

export const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const LAUNCHER = join(ROOT, "engine/command/fitful.js");

export interface Said {
  out: string;
  err: string;
  code: number | null;
}

interface Circumstances {
  /** what comes in on standard input */
  input?: string | Buffer;
  /** the directory it is called from */
  cwd?: string;
}

export function fitful(args: string[], { input = "", cwd = ROOT }: Circumstances = {}): Promise<Said> {
  const child = spawn(process.execPath, [LAUNCHER, ...args], { cwd, stdio: "pipe" });
  const said = { out: "", err: "" };
  child.stdout.setEncoding("utf8").on("data", (text: string) => (said.out += text));
  child.stderr.setEncoding("utf8").on("data", (text: string) => (said.err += text));
  child.stdin.on("error", () => {}); // it may refuse before it has read everything
  child.stdin.end(input);
  return new Promise((resolve, reject) => {
    child.on("error", reject);
    child.on("close", (code) => resolve({ ...said, code }));
  });
}

/** Files of a test in a folder of their own. */
export class Folder {
  readonly path = mkdtempSync(join(tmpdir(), "fitful-command-"));

  constructor() {
    afterAll(() => rmSync(this.path, { recursive: true, force: true }));
  }

  file(name: string, content: string | Buffer | object): string {
    const path = join(this.path, name);
    writeFileSync(
      path,
      typeof content === "string" || Buffer.isBuffer(content) ? content : JSON.stringify(content),
    );
    return path;
  }
}

/** What no answer to bad input may hold: the inside of the program. */
export const STACK = /\n\s+at |\.ts:\d|node:internal|internal error|undefined|\[object/;
