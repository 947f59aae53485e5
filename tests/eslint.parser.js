/**
 * typescript-eslint's parser over one program for the whole lint. Its project service would build a type checker anew
 * for every component: what the svelte parser asks it about is a script made from the component, not the file.
 */
import { readFileSync } from "node:fs";
import svelte from "eslint-plugin-svelte";
import ts from "typescript";
import { parser as typed } from "typescript-eslint";
import svelteConfig from "../explorer/svelte.config.js";

const svelteParser = svelte.configs.base.find(({ languageOptions }) => languageOptions?.parser)
  .languageOptions.parser;

/** What the svelte parser hands on last. Of a file that it cannot read there is none; the lint says why. */
function scriptOf(filePath) {
  let script;
  const parser = {
    ...typed,
    parseForESLint(code, options) {
      script = code;
      return typed.parseForESLint(code, options);
    },
  };
  try {
    svelteParser.parseForESLint(readFileSync(filePath, "utf8"), { filePath, svelteConfig, parser });
    return script;
  } catch {
    return undefined;
  }
}

function programOf(tsconfig) {
  const { fileNames, options } = ts.getParsedCommandLineOfConfigFile(
    tsconfig,
    { allowNonTsExtensions: true },
    ts.sys,
    undefined,
    undefined,
    [{ extension: ".svelte", isMixedContent: true, scriptKind: ts.ScriptKind.Deferred }],
  );
  const host = ts.createCompilerHost(options, true);
  const { readFile } = host;
  host.readFile = (path) => (/\.svelte(\.ts)?$/.test(path) ? scriptOf(path) : readFile(path));
  return ts.createProgram(fileNames, options, host);
}

/** Asks the project service only about what differs from the file as it lay there, as in an editor or after a fix. */
export function parserOver(tsconfig) {
  let program;
  return {
    ...typed,
    parseForESLint(code, options) {
      if (!options.projectService) return typed.parseForESLint(code, options);
      program ??= programOf(tsconfig);
      const isKnown = program.getSourceFile(options.filePath)?.text === code;
      const given = isKnown ? { ...options, projectService: false, programs: [program] } : options;
      return typed.parseForESLint(code, given);
    },
  };
}
