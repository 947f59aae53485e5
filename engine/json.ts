/**
 * Text → data, or what is wrong: the first fault of the text with its line and column, or names that no data may have.
 *
 * `JSON.parse` does the reading; what it says about a fault differs from engine to engine and often names no place, so
 * a text it refuses is walked once more, with a stack of open brackets instead of recursion: depth costs nothing.
 */
import { issue } from "./issue.js";
import type { Issue } from "./weighing.js";

export function parseJson(text: string): { data: unknown } | { issues: Issue[] } {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    return { issues: [firstFault(text)] };
  }
  const issues = /__proto__|\\u/.test(text) ? protoIssues(data) : [];
  return issues.length > 0 ? { issues } : { data };
}

/** `__proto__` means something else as soon as an object is copied, and schemas pass over it: it is refused by name. */
function protoIssues(data: unknown): Issue[] {
  const issues: Issue[] = [];
  const todo: { path: string; value: unknown }[] = [{ path: "", value: data }];
  for (let next = todo.pop(); next !== undefined; next = todo.pop()) {
    const { path, value } = next;
    if (typeof value !== "object" || value === null) continue;
    for (const [key, inner] of Object.entries(value)) {
      const place = Array.isArray(value) ? `${path}[${key}]` : path === "" ? key : `${path}.${key}`;
      if (key === "__proto__")
        issues.push(issue(place, "the name __proto__", "a name that the format knows"));
      todo.push({ path: place, value: inner });
    }
  }
  return issues;
}

type Wanted =
  "a value" | "a value or ]" | "a name in double quotes" | "a name in double quotes or }" | Punctuation;
type Punctuation = ":" | ", or }" | ", or ]" | "the end of the file";

interface Token {
  kind: "{" | "}" | "[" | "]" | "," | ":" | "text" | "scalar" | "end" | "fault";
  end: number;
  /** only for a fault */
  found?: string;
}

const SPACE = /[ \t\r\n]*/y;
const SCALAR = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?(?![\w.+-])|(?:true|false|null)(?!\w)/y;
const WORD = /[\w.+-]{1,30}/y;
const ESCAPE = /\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4})/y;

function firstFault(text: string): Issue {
  const open: ("{" | "[")[] = [];
  let wanted: Wanted = "a value";
  for (let at = skip(SPACE, text, 0); ;) {
    const token = tokenAt(text, at);
    const next = follow(wanted, token, open);
    if (next === null) return issueAt(text, at, token, wanted);
    wanted = next;
    at = skip(SPACE, text, token.end);
  }
}

/** What may come after the token, or null where the token itself may not come. */
function follow(wanted: Wanted, { kind }: Token, open: ("{" | "[")[]): Wanted | null {
  switch (wanted) {
    case "a value":
    case "a value or ]":
      if (kind === "{" || kind === "[") {
        open.push(kind);
        return kind === "{" ? "a name in double quotes or }" : "a value or ]";
      }
      if (kind === "]" && wanted === "a value or ]") return close(open);
      return kind === "text" || kind === "scalar" ? afterValue(open) : null;
    case "a name in double quotes":
    case "a name in double quotes or }":
      if (kind === "}" && wanted === "a name in double quotes or }") return close(open);
      return kind === "text" ? ":" : null;
    case ":":
      return kind === ":" ? "a value" : null;
    case ", or }":
      return kind === "," ? "a name in double quotes" : kind === "}" ? close(open) : null;
    case ", or ]":
      return kind === "," ? "a value" : kind === "]" ? close(open) : null;
    case "the end of the file":
      return null;
  }
}

function close(open: ("{" | "[")[]): Wanted {
  open.pop();
  return afterValue(open);
}

function afterValue(open: ("{" | "[")[]): Wanted {
  const inside = open.at(-1);
  return inside === undefined ? "the end of the file" : inside === "{" ? ", or }" : ", or ]";
}

function tokenAt(text: string, at: number): Token {
  const first = text[at];
  switch (first) {
    case undefined:
      return { kind: "end", end: at };
    case "{":
    case "}":
    case "[":
    case "]":
    case ",":
    case ":":
      return { kind: first, end: at + 1 };
    case '"':
      return quoted(text, at);
    default: {
      const end = skip(SCALAR, text, at);
      return end > at ? { kind: "scalar", end } : { kind: "fault", end: at, found: strange(text, at) };
    }
  }
}

/** A text in double quotes; a fault is placed where it begins, which is where a reader looks. */
function quoted(text: string, at: number): Token {
  let end = at + 1;
  while (text[end] !== '"') {
    const next = text[end] === "\\" ? skip(ESCAPE, text, end) : end + 1;
    if (end >= text.length || text.charCodeAt(end) < 32 || next === end) {
      const start = JSON.stringify(text.slice(at + 1, Math.min(end, at + 21)));
      const why =
        text[end] === "\\"
          ? `the escape ${text.slice(end, end + 2)}`
          : "a line break or other control character";
      return {
        kind: "fault",
        end,
        found: `the text ${start} with ${end >= text.length ? "no closing quote" : why}`,
      };
    }
    end = next;
  }
  return { kind: "text", end: end + 1 };
}

function strange(text: string, at: number): string {
  const end = skip(WORD, text, at);
  if (end > at) return text.slice(at, end);
  const character = String.fromCodePoint(text.codePointAt(at)!);
  const code = character.codePointAt(0)!.toString(16).toUpperCase().padStart(4, "0");
  return /[\p{C}\p{Z}]/u.test(character) ? `the character U+${code}` : character;
}

function issueAt(text: string, at: number, token: Token, wanted: Wanted): Issue {
  const before = text.slice(0, at);
  const path = `line ${before.split("\n").length}, column ${at - before.lastIndexOf("\n")}`;
  const found =
    token.found ??
    (token.kind === "end" ? "the end of the file" : text.slice(at, Math.min(token.end, at + 30)));
  return issue(path, found, wanted);
}

function skip(pattern: RegExp, text: string, at: number): number {
  pattern.lastIndex = at;
  return pattern.test(text) ? pattern.lastIndex : at;
}
