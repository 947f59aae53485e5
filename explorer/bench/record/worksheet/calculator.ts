/**
 * A line of arithmetic with units, worked out in a closed room: numbers, units, the names it is given and functions it
 * defines itself. Whatever could reach outside, build large things or change the calculator (import, createUnit,
 * evaluate, parse, members, lists, ranges) is refused before anything is worked out.
 */
import * as dependencies from "mathjs";
import { create, parseDependencies, unitDependencies, type MathNode } from "mathjs";

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
const room = new Set([...FUNCTIONS, ...CONSTANTS]);
const { Unit } = math as unknown as { Unit: { isValuelessUnit(name: string): boolean } };

/** Names that a fact must not take: they mean something already. */
export const isTaken = (name: string): boolean => room.has(name) || Unit.isValuelessUnit(name);

export type Answer = { value: string } | { error: string };

/** Works out a cell; what it defines stays in `scope` for the cells after it. An error is an answer. */
export function calculate(expression: string, scope: Scope): Answer {
  try {
    const node = math.parse!(expression).transform(minuteOf);
    check(node, scope);
    return { value: shown(node.evaluate(scope)) };
  } catch (error) {
    return { error: error instanceof RangeError ? "it calls itself without end" : messageOf(error) };
  }
}

/** "20 min" is twenty minutes; min(…) is the least. */
const minuteOf = (node: MathNode, path: string): MathNode =>
  "name" in node && node.type === "SymbolNode" && node.name === "min" && path !== "fn"
    ? math.parse!("minute")
    : node;

/** @throws {Error} at the first thing that has no place in a cell */
function check(node: MathNode, scope: Scope): void {
  const defined = new Set(scope.keys());
  node.traverse((part) => {
    if (part.type === "AssignmentNode" || part.type === "FunctionAssignmentNode")
      defined.add((part as unknown as { name: string }).name);
    for (const name of (part as unknown as { params?: string[] }).params ?? []) defined.add(name);
  });
  node.traverse((part, path) => {
    if (!NODES.has(part.type))
      throw new Error(`found ${wordsOf(part)}, expected numbers, names and functions`);
    if (part.type === "AssignmentNode" || part.type === "FunctionAssignmentNode")
      free((part as unknown as { name: string }).name);
    if (part.type !== "SymbolNode") return;
    const { name } = part as unknown as { name: string };
    if (defined.has(name) || (path === "fn" ? FUNCTIONS.includes(name) : isTaken(name))) return;
    throw new Error(
      path === "fn"
        ? `found ${name}(…), expected ${FUNCTIONS.join(", ")}, or one that is defined above`
        : `found ${name}, expected a name that is known here`,
    );
  });
}

function free(name: string): void {
  if (isTaken(name)) throw new Error(`found ${name} as a new name, expected one that means nothing yet`);
}

const wordsOf = (node: MathNode): string =>
  `${node.toString().slice(0, 40)} (${node.type.replace(/Node$/, "").toLowerCase()})`;
const messageOf = (error: unknown): string =>
  (error instanceof Error ? error.message : String(error)).slice(0, 300);

/** What a person reads; several lines give several answers. */
function shown(value: unknown): string {
  if (typeof value === "function") return "defined";
  if (value === undefined) return "nothing";
  if (typeof value === "string") return value.slice(0, 200);
  const lines = (value as { entries?: unknown[] }).entries;
  if (Array.isArray(lines)) return lines.map(shown).join("; ") || "nothing";
  return math.format!(value, { precision: 6 }).slice(0, 200);
}
