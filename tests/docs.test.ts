/** The pages for readers: every link leads somewhere, every `fitful` example runs and prints what the page shows. */
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { describe, expect, test } from "vitest";
import { fitful, ROOT } from "./command/fitful.js";

const SKIPPED = new Set(["node_modules", "dist", ".git"]);

const pagesIn = (folder: string): string[] =>
  readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return SKIPPED.has(entry.name) ? [] : pagesIn(path);
    return entry.name.endsWith(".md") ? [path] : [];
  });

const pages = pagesIn(ROOT).map((path) => ({
  path,
  name: relative(ROOT, path),
  text: readFileSync(path, "utf8"),
}));
const withoutCode = (text: string) => text.replace(/^(```|~~~)[\s\S]*?^\1/gm, "").replace(/`[^`\n]*`/g, "");

/** The anchor that a heading gets: lower case, no punctuation, dashes for spaces. */
const anchorOf = (heading: string): string =>
  heading
    .toLowerCase()
    .replace(/[^\p{L}\p{N}\s_-]/gu, "")
    .trim()
    .replace(/\s/g, "-");

const anchorsOf = (text: string): string[] =>
  [...text.replace(/^```[\s\S]*?^```/gm, "").matchAll(/^#+\s+(.*)$/gm)].map((match) => anchorOf(match[1]!));

interface Link {
  page: string;
  to: string;
}

const links = pages.flatMap(({ path, text }): Link[] => {
  const inText = withoutCode(text);
  const inline = [
    ...inText.matchAll(/\]\(([^)\s]+)(?:\s+"[^"]*")?\)/g),
    ...inText.matchAll(/(?:src|href)="([^"]+)"/g),
  ];
  const defined = [...inText.matchAll(/^\[[^\]]+\]:\s*(\S+)/gm)];
  return [...inline, ...defined].map((match) => ({ page: path, to: match[1]! }));
});

function brokenBecause({ page, to }: Link): string | null {
  if (/^(https:|mailto:)/.test(to)) return null; // nothing leaves the machine in a test
  const [file, anchor] = to.split("#") as [string, string?];
  const target = file === "" ? page : resolve(dirname(page), decodeURIComponent(file));
  if (!existsSync(target)) return "no such file";
  if (anchor === undefined) return null;
  if (statSync(target).isDirectory()) return "a folder has no headings";
  return anchorsOf(readFileSync(target, "utf8")).includes(anchor) ? null : "no such heading";
}

test("every link of the docs leads to a file or a heading that exists", () => {
  expect(links.length).toBeGreaterThan(5);
  const broken = links.flatMap((link) => {
    const why = brokenBecause(link);
    return why === null ? [] : [`${relative(ROOT, link.page)}: ${link.to}: ${why}`];
  });
  expect(broken).toEqual([]);
});

test("the check of links knows a broken one", () => {
  const page = join(ROOT, "README.md");
  expect(brokenBecause({ page, to: "no-such-file.md" })).toBe("no such file");
  expect(brokenBecause({ page, to: "#no-such-heading" })).toBe("no such heading");
});

/** A console block: `$ npx fitful …`, then what it prints; a line `…` stands for lines left out. */
const examples = pages.flatMap(({ name, text }) =>
  [...text.matchAll(/^```console\n([\s\S]*?)^```/gm)].flatMap((block) =>
    block[1]!
      .split(/^\$ /m)
      .filter((call) => call.startsWith("npx fitful "))
      .map((call) => {
        const [command, ...shown] = call.trimEnd().split("\n");
        return { name, command: command!, shown };
      }),
  ),
);

describe("documented examples", () => {
  test("there are some", () => expect(examples.length).toBeGreaterThan(0));

  test.each(examples)("$name: $command", { timeout: 120_000 }, async ({ command, shown }) => {
    const { out, code } = await fitful(command.split(" ").slice(2));
    expect(code).toBe(0);
    const printed = out.split("\n");
    // each run of lines between two … stands in the output as it is, in the same order
    let from = 0;
    for (const run of shown
      .join("\n")
      .split(/^\s*…\s*$\n?/m)
      .map((part) => part.replace(/\n$/, ""))) {
      if (run === "") continue;
      const rest = printed.slice(from).join("\n");
      expect(rest, "the page shows what the command no longer prints; paste its output again").toContain(run);
      from += rest.slice(0, rest.indexOf(run)).split("\n").length - 1 + run.split("\n").length;
    }
  });
});
