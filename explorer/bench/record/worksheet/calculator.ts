/**
 * Lines of arithmetic with units, worked out in a closed room: numbers, units, the names they are given and functions
 * they define themselves. Whatever could reach outside, build large things or change the calculator (import, createUnit,
 * evaluate, parse, members, lists, ranges) is refused before its line is worked out.
 */
import * as dependencies from "mathjs";
import { create, parseDependencies, unitDependencies, type MathNode } from "mathjs";
import { statementsOf } from "./statements.js";

/** What a name stands for in a cell. */
export type Value = unknown;
export type Scope = Map<string, Value>;

const FUNCTIONS = [
  "abs", "cbrt", "ceil", "combinations", "cos", "exp", "factorial", "floor", "log", "log10", "log2", "max", "mean",
  "median", "min", "mod", "pow", "round", "sign", "sin", "sqrt", "std", "sum", "tan", "variance",
]; // prettier-ignore
const OPERATORS = [
  "add", "subtract", "multiply", "divide", "unaryMinus", "unaryPlus", "larger", "largerEq", "smaller", "smallerEq",
  "equal", "unequal", "and", "or", "not", "to",
]; // prettier-ignore
const CONSTANTS = ["pi", "e", "true", "false"];
const NODES = new Set([
  "ConstantNode", "SymbolNode", "OperatorNode", "ParenthesisNode", "FunctionNode", "ConditionalNode", "RelationalNode",
  "AssignmentNode", "FunctionAssignmentNode", "BlockNode",
]); // prettier-ignore

function pick(names: readonly string[]): object {
  const all = dependencies as unknown as Record<string, object>;
  return Object.assign({}, ...names.map((name) => all[`${name}Dependencies`]!));
}
const math = create({
  ...parseDependencies,
  ...unitDependencies,
  ...pick([...FUNCTIONS, ...OPERATORS, "pi", "e", "format"]),
});
const { Unit } = math as unknown as { Unit: { isValuelessUnit(name: string): boolean } };

/** Names that a fact must not take: they mean something already. */
export const isTaken = (name: string): boolean => meaningOf(name) !== null;

function meaningOf(name: string): string | null {
  if (FUNCTIONS.includes(name)) return "a function";
  if (CONSTANTS.includes(name)) return "a constant";
  return Unit.isValuelessUnit(name) ? "a unit" : null;
}

/** What a line gives or what is wrong with it, lines counted from 1; line null: what is wrong with the whole cell. */
export type Given = { line: number; value: string } | { line: number | null; error: string };
/** In the order of the lines; those that give nothing are left out, and an error comes last. */
export type Answer = readonly Given[];

/**
 * Works out a cell, up to its first wrong line; what it defines stays in `scope` for the cells after it. An error is an
 * answer.
 *
 * @param told  names in `scope` that are the worksheet's own: a cell must not give them another meaning
 */
export function calculate(expression: string, scope: Scope, told: Scope = new Map()): Answer {
  const given: Given[] = [];
  const statements = statementsOf(expression, (text) => math.parse!(text).transform(minuteOf));
  const known = new Set([
    ...scope.keys(),
    ...statements.flatMap((one) => ("node" in one ? namesIn(one.node) : [])),
  ]);
  for (const statement of statements) {
    const { line } = statement;
    try {
      if ("fault" in statement) throw statement.fault;
      check(statement.node, known, told);
      const value = shown(statement.node.evaluate(scope));
      if (value !== "") given.push({ line, value });
    } catch (error) {
      const where = expression.trim().includes("\n") ? `line ${line}: ` : "";
      return [...given, { line, error: where + messageOf(error) }];
    }
  }
  return given;
}

/** "20 min" is twenty minutes; min(…) is the least. */
const minuteOf = (node: MathNode, path: string): MathNode =>
  "name" in node && node.type === "SymbolNode" && node.name === "min" && path !== "fn" && path !== "object"
    ? math.parse!("minute")
    : node;

const isDefinition = (node: MathNode): node is MathNode & { name: string } =>
  node.type === "AssignmentNode" || node.type === "FunctionAssignmentNode";

/** What a statement gives a meaning to, the parameters of its functions with it. */
function namesIn(node: MathNode): string[] {
  const names: string[] = [];
  node.traverse((part) => {
    if (isDefinition(part)) names.push(part.name);
    names.push(...((part as unknown as { params?: string[] }).params ?? []));
  });
  return names;
}

/** @throws {Error} at the first thing that has no place in a cell */
function check(node: MathNode, known: ReadonlySet<string>, told: Scope): void {
  node.traverse((part, path) => {
    if (!NODES.has(part.type))
      throw new Error(`found ${wordsOf(part)}, expected numbers, names and functions`);
    if (isDefinition(part)) free(part.name, told);
    if (part.type !== "SymbolNode") return;
    const { name } = part as unknown as { name: string };
    if (known.has(name) || (path === "fn" ? FUNCTIONS.includes(name) : isTaken(name))) return;
    throw new Error(
      path === "fn"
        ? `found ${name}(…), expected ${FUNCTIONS.join(", ")}, or one that is defined above`
        : `found ${name}, expected a name that is known here`,
    );
  });
}

function free(name: string, told: Scope): void {
  const meaning = meaningOf(name) ?? (told.has(name) ? "a name the worksheet knows" : null);
  if (meaning === null) return;
  throw new Error(
    `found ${name} as a new name, expected one that means nothing yet: ${name} is ${meaning} already`,
  );
}

const wordsOf = (node: MathNode): string =>
  `${node.toString().slice(0, 40)} (${node.type.replace(/Node$/, "").toLowerCase()})`;

function messageOf(error: unknown): string {
  if (error instanceof RangeError) return "it calls itself without end";
  return (error instanceof Error ? error.message : String(error)).slice(0, 300);
}

/** What a person reads of a statement, "" where it gives nothing. */
function shown(value: unknown): string {
  if (typeof value === "function") return "defined";
  if (value === undefined) return "";
  if (typeof value === "string") return value.slice(0, 200);
  const parts = (value as { entries?: unknown[] }).entries;
  if (Array.isArray(parts)) return parts.map(shown).join("; ");
  return math.format!(value, { precision: 6 }).slice(0, 200);
}
