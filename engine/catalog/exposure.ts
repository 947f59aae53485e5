/**
 * Exposure expressions: how much a trial in some setup gives a cause the chance to show.
 *
 * Parsed by mathjs and compiled once. Only arithmetic, comparison and the documented names get through: anything that
 * could reach outside (assignment, member access, function definition, import, evaluate, parse …) is refused before it
 * is compiled.
 */
import { create, parseDependencies, type MathNode } from "mathjs/number";
import * as dependencies from "mathjs/number";

/** What an expression may ask about a setup. */
export interface ExposureScope {
  /** condition id → minutes */
  conditions: Record<string, number>;
  /** 1 where a setting has this value, or a condition is in this class */
  is(id: string, value: string): number;
  /** number of fitted parts of a kind */
  count(kind: string): number;
  /** 1 where the cause's own part or position is this position */
  at(position: string): number;
  /** 1 where something sits in this position */
  filled(position: string): number;
}

export type Exposure = (scope: ExposureScope) => number;

/** Questions about a setup, and how many texts each takes. */
const QUESTIONS: Record<string, number> = { is: 2, count: 1, at: 1, filled: 1 };
const ASKING = Object.keys(QUESTIONS);
/** Functions, and the fewest and most numbers each takes. */
const FUNCTIONS: Record<string, [number, number]> = {
  min: [1, 20], max: [1, 20], abs: [1, 1], exp: [1, 1], log: [1, 2], sqrt: [1, 1], floor: [1, 1], ceil: [1, 1], round: [1, 2],
}; // prettier-ignore
const ARITHMETIC = Object.keys(FUNCTIONS);
const OPERATORS = new Set([
  "add", "subtract", "multiply", "divide", "pow", "unaryMinus", "unaryPlus",
  "larger", "largerEq", "smaller", "smallerEq", "equal", "unequal", "and", "or", "not",
]); // prettier-ignore

const math = create({
  ...parseDependencies,
  ...pick([
    "addDependencies", "subtractDependencies", "multiplyDependencies", "divideDependencies", "powDependencies",
    "unaryMinusDependencies", "unaryPlusDependencies", "largerDependencies", "largerEqDependencies",
    "smallerDependencies", "smallerEqDependencies", "equalDependencies", "unequalDependencies", "andDependencies",
    "orDependencies", "notDependencies", "minDependencies", "maxDependencies", "absDependencies", "expDependencies",
    "logDependencies", "sqrtDependencies", "floorDependencies", "ceilDependencies", "roundDependencies",
  ]),
}); // prettier-ignore

function pick(names: string[]): object {
  const all = dependencies as unknown as Record<string, object>;
  return Object.assign({}, ...names.map((name) => all[name]!));
}

/**
 * Compile an exposure.
 *
 * @param expression  a number, or an expression over condition ids, `is`, `count`, `at`, `filled` and arithmetic
 * @param conditionIds  names that stand for minutes
 * @throws {SyntaxError} where the expression is not understood or names something it may not
 */
export function compileExposure(expression: string | number, conditionIds: readonly string[]): Exposure {
  if (typeof expression === "number") return () => expression;
  if (expression.trim() === "") throw new SyntaxError("found no text, expected an expression such as 1");
  const tree = math.parse!(expression) as MathNode;
  refuseStrangers(tree, new Set(conditionIds));
  const compiled = tree.compile();
  return (scope) => {
    const { is, count, at, filled } = scope;
    const names = new Map<string, unknown>(Object.entries({ ...scope.conditions, is, count, at, filled }));
    return Number(compiled.evaluate(names as never));
  };
}

/** Every question an expression asks: the function and its texts, such as ["is", "rest", "cold"]. */
export function questionsOf(expression: string | number): string[][] {
  if (typeof expression === "number") return [];
  const asked: string[][] = [];
  (math.parse!(expression) as MathNode).traverse((node: MathNode) => {
    const { type, args } = node as Loose;
    const name = fnName(node as Loose);
    if (type === "FunctionNode" && ASKING.includes(name))
      asked.push([name, ...args!.map((a) => String(a.value))]);
  });
  return asked;
}

function refuseStrangers(tree: MathNode, conditionIds: Set<string>): void {
  tree.traverse((node: MathNode, path: string, parent: MathNode | null) => {
    const problem = strangeness(node as Loose, path, parent as Loose | null, conditionIds);
    if (problem) throw new SyntaxError(problem);
  });
}

interface Loose {
  type: string;
  name?: string;
  fn?: unknown;
  value?: unknown;
  args?: Loose[];
}

function strangeness(
  node: Loose,
  path: string,
  parent: Loose | null,
  conditionIds: Set<string>,
): string | null {
  const asked = parent?.type === "FunctionNode" && ASKING.includes(fnName(parent));
  switch (node.type) {
    case "ParenthesisNode":
    case "ConditionalNode":
      return null;
    case "ConstantNode":
      if (typeof node.value === "number" || typeof node.value === "boolean") return null;
      return typeof node.value === "string" && asked
        ? null
        : `found the text ${JSON.stringify(node.value)}, expected text only inside ${ASKING.join(", ")}`;
    case "OperatorNode":
      return OPERATORS.has(String(node.fn))
        ? null
        : `found the operator ${String(node.fn)}, expected arithmetic or comparison`;
    case "FunctionNode": {
      const name = fnName(node);
      const texts = (node.args ?? []).filter(
        (a) => a.type === "ConstantNode" && typeof a.value === "string",
      ).length;
      if (ASKING.includes(name) && (texts !== QUESTIONS[name] || texts !== node.args?.length))
        return `found ${name} with other arguments, expected ${QUESTIONS[name]} ${QUESTIONS[name] === 1 ? "text" : "texts"} in quotes`;
      const [fewest, most] = (Object.hasOwn(FUNCTIONS, name) ? FUNCTIONS[name] : undefined) ?? [0, Infinity];
      const given = node.args?.length ?? 0;
      if (given < fewest || given > most)
        return `found ${name} of ${given}, expected ${fewest}${most > fewest ? ` to ${most}` : ""} numbers`;
      return ASKING.includes(name) || ARITHMETIC.includes(name)
        ? null
        : `found the function ${name || "?"}, expected one of ${[...ASKING, ...ARITHMETIC].join(", ")}`;
    }
    case "SymbolNode":
      if (parent?.type === "FunctionNode" && path === "fn") return null;
      if (node.name === "true" || node.name === "false" || conditionIds.has(node.name!)) return null;
      return `found the name ${node.name}, expected a condition (${[...conditionIds].join(", ") || "none here"})`;
    case "RelationalNode":
      return null;
    default:
      return `found a ${node.type}, expected arithmetic, comparison and condition ? yes : no`;
  }
}

function fnName(node: Loose): string {
  const fn = node.fn as Loose | string | undefined;
  return typeof fn === "string" ? fn : fn?.type === "SymbolNode" ? (fn.name ?? "") : "";
}
