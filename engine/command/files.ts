/** Files and standard input as data. */
import { createReadStream } from "node:fs";
import { parseText } from "../ticket/lines.js";
import { issue } from "../issue.js";
import { InputFaults } from "./reply.js";

/** The name that stands for standard input. */
export const STANDARD_INPUT = "-";

const LARGEST = 64 * 1024 * 1024;

export const nameOf = (path: string): string => (path === STANDARD_INPUT ? "standard input" : path);

/** @throws {InputFaults} where the file cannot be read or is no JSON */
export async function readJson(path: string): Promise<unknown> {
  const text = await readText(path);
  const parsed = parseText(text);
  if ("issues" in parsed) throw new InputFaults({ file: nameOf(path), issues: parsed.issues });
  return parsed.data;
}

async function readText(path: string): Promise<string> {
  try {
    const bytes = await readBytes(path === STANDARD_INPUT ? process.stdin : createReadStream(path));
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch (error) {
    throw new InputFaults({
      file: nameOf(path),
      issues: [issue("file", whyUnreadable(error), "a JSON file of at most 64 MB")],
    });
  }
}

class TooLarge extends Error {}

/** Counted while it is read: a pipe does not say how long it is. */
async function readBytes(stream: AsyncIterable<Buffer>): Promise<Buffer> {
  const chunks: Buffer[] = [];
  let size = 0;
  for await (const chunk of stream) {
    size += chunk.length;
    if (size > LARGEST) throw new TooLarge();
    chunks.push(chunk);
  }
  return Buffer.concat(chunks);
}

const REASONS: Record<string, string> = {
  ENOENT: "no such file",
  ENOTDIR: "no such file",
  EISDIR: "a directory",
  EACCES: "a file that may not be read",
  ENAMETOOLONG: "a name that is too long",
  ERR_INVALID_ARG_VALUE: "a name with a NUL character",
  ERR_ENCODING_INVALID_ENCODED_DATA: "bytes that are not UTF-8 text",
};

export function whyUnreadable(error: unknown): string {
  if (error instanceof TooLarge) return "more than 64 MB";
  const { code, message } = error as NodeJS.ErrnoException;
  return REASONS[code ?? ""] ?? `an error while reading (${message})`;
}
