/** The explorer, built and served on loopback, and pages that watch what goes wrong in them. */
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { build, preview } from "vite";

const configFile = fileURLToPath(new URL("../../explorer/vite.config.ts", import.meta.url));

export interface Served {
  url: string;
  /** where the built files lie */
  folder: string;
  close(): Promise<void>;
}

/** Names the folder that the test run has built, if it has. */
export const BUILT_VARIABLE = "FITFUL_BUILT";

const freshFolder = (): string => mkdtempSync(join(tmpdir(), "fitful-explorer-"));

/** @returns the folder it was built into */
export async function buildExplorer(): Promise<string> {
  const outDir = freshFolder();
  const { NODE_ENV } = process.env;
  process.env.NODE_ENV = "production"; // a test runner says "test", and would look at what nobody is given
  await build({ configFile, logLevel: "error", build: { outDir, emptyOutDir: true } });
  if (NODE_ENV === undefined) delete process.env.NODE_ENV;
  else process.env.NODE_ENV = NODE_ENV;
  return outDir;
}

/** In files of its own, which a test may change: a copy of what this test run has built, so that none looks at a stale one. */
async function ownFiles(): Promise<string> {
  const built = process.env[BUILT_VARIABLE];
  if (built === undefined) return buildExplorer();
  const outDir = freshFolder();
  cpSync(built, outDir, { recursive: true });
  return outDir;
}

export async function serveExplorer(): Promise<Served> {
  const outDir = await ownFiles();
  const server = await preview({
    configFile,
    logLevel: "warn",
    build: { outDir },
    preview: { host: "127.0.0.1", port: 0 },
  });
  const url = server.resolvedUrls?.local[0];
  if (url === undefined) throw new Error("preview: found no address, expected one on loopback");
  return {
    url,
    folder: outDir,
    async close() {
      await server.close();
      rmSync(outDir, { recursive: true, force: true });
    },
  };
}

/** A browser that has never seen the page, and everything that must not happen in it. */
export class Visit {
  /** errors on the console and uncaught ones */
  readonly errors: string[] = [];
  /** requests to anywhere but loopback */
  readonly strays: string[] = [];

  private constructor(readonly page: Page) {
    page.on("console", (message) => message.type() === "error" && this.errors.push(message.text()));
    page.on("pageerror", (error) => this.errors.push(error.message));
    page.context().on("request", (request) => {
      const { protocol, hostname } = new URL(request.url());
      const stays = ["data:", "blob:", "about:"].includes(protocol) || hostname === "127.0.0.1";
      if (!stays) this.strays.push(request.url());
    });
  }

  /** Without the service worker, which fetches and compiles every file of the build, unless the options allow it. */
  static async begin(browser: Browser, options: BrowserContextOptions): Promise<Visit> {
    const context = await browser.newContext({
      reducedMotion: "reduce",
      serviceWorkers: "block",
      ...options,
    });
    return new Visit(await context.newPage());
  }

  end = (): Promise<void> => this.page.context().close();
}
