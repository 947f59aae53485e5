/** The `fitful` command: reads its arguments, calls one subcommand, prints its answer. */
import { parseArgs, type ParseArgsConfig } from "node:util";
import { nearest } from "../ticket/nearest.js";
import { CallFault, faultLines, InputFaults, json, type ExitCode, type Reply, type Values } from "./reply.js";

const HELP = `fitful: what is wrong with a machine that only sometimes starts

  fitful weigh TICKET    what it could be, what the record taught, what to do next
  fitful check FILE…     what is wrong with tickets and catalogs
  fitful schema NAME     the JSON Schema of a file: catalog, ticket or matching
  fitful tune TABLE…     a catalog tuned by past tickets, and whether that helps
  fitful race            strategies on simulated tickets: what each costs and how it ends

TICKET, FILE and TABLE are paths, or - for standard input.

weigh
  --catalog FILE    the kind of machine; without it the ticket says which
  --json            the whole answer as JSON
  --causes N        how many causes to list, default 8
  --no-advice       leave out what to do next, which takes longest
  --max-causes K    faults that may be there at once, 0 to 3, default 2
  --seed N          for the redraws of the rates, default 1
  --draws N         how many redraws give the intervals, default 200; 0 gives none
check
  --json            the faults as JSON
tune
  --catalog NAME    the kind of machine: an id or a path, default desktop
  --out FILE        where the tuned catalog goes; not written where tuning did not help
  --anyway          write it all the same
  --matching FILE   which column is what, and what the table's words mean
  --propose         print what is taken for what in TABLE, to be corrected for --matching, and stop
  --rejected FILE   rows that were rejected, with the reason
  --tally FILE      the counts that were learned from, as a table that tune reads too
  --worth N         how many tickets the catalog counts as
  --minutes N       work N tickets left out with the catalog before and after: minutes saved; seconds a ticket
  --undo            TABLE is a tuned catalog: give back the one before
  --json            the figures as JSON
race
  --catalog NAME    the kind of machine: an id or a path, default desktop
  --tickets N       how many, default 2000
  --seed N          same seed, same tickets, same figures; default 1
  --world NAME      what the machines are really like: own, as the catalog says; wrong, its rates;
                    missing, the cause is not in it; other, hardly anything is as it says; default own
  --wrong-by F      factor of the rates in the worlds wrong and other, default 3
  --strategies A,B  which, and in which order; ratios are to the first
  --causes K        faults at once that the strategies' belief considers, 1 or 2, default 1
  --json            the figures as JSON

Exit code: 0 fine, 1 the input is wrong, 2 the call is wrong, 3 fitful itself failed.
`;

type Options = NonNullable<ParseArgsConfig["options"]>;

interface Subcommand {
  options: Options;
  run(files: string[], values: Values): Promise<Reply> | Reply;
}

const flag = { type: "boolean" } as const;
const value = { type: "string" } as const;

/** Loaded when called: a wrong call is told at once, without waiting for the engine. */
const SUBCOMMANDS: Record<string, Subcommand> = {
  weigh: {
    options: {
      ...{ catalog: value, json: flag, causes: value, "no-advice": flag },
      ...{ "max-causes": value, seed: value, draws: value },
    },
    run: async (files, values) => (await import("./weigh.js")).weigh(files, values),
  },
  check: {
    options: { json: flag },
    run: async (files, values) => (await import("./check.js")).check(files, values),
  },
  tune: {
    options: {
      ...{ catalog: value, out: value, anyway: flag, matching: value, rejected: value },
      ...{ tally: value, worth: value, minutes: value, undo: flag, propose: flag, json: flag },
    },
    run: async (files, values) => (await import("./tune.js")).tune(files, values),
  },
  race: {
    options: {
      ...{ catalog: value, tickets: value, seed: value, world: value, "wrong-by": value },
      ...{ strategies: value, causes: value, json: flag },
    },
    run: async (files, values) => (await import("./race.js")).race(files, values),
  },
  schema: { options: {}, run: async (names) => (await import("./schema.js")).schema(names) },
  help: { options: {}, run: () => ({ out: HELP, code: 0 }) },
};

export async function main(argv: string[]): Promise<void> {
  // `fitful … | head` closes the pipe early; that is no fault of anybody's
  process.stdout.on("error", (error: NodeJS.ErrnoException) => process.exit(error.code === "EPIPE" ? 0 : 1));
  process.exitCode = await answer(argv);
}

async function answer(argv: string[]): Promise<ExitCode> {
  try {
    const { out, code } = await dispatch(argv);
    process.stdout.write(argv.includes("--json") ? out : printable(out));
    return code;
  } catch (error) {
    if (error instanceof InputFaults) return refuse(error, argv.includes("--json"));
    const ours = !(error instanceof CallFault);
    const said = `${ours ? "internal error: " : ""}${(error as Error).message}`;
    process.stderr.write(printable(`fitful: ${said}\n`));
    return ours ? 3 : 2;
  }
}

function refuse({ faults }: InputFaults, asJson: boolean): ExitCode {
  if (asJson) process.stdout.write(json(faults));
  else process.stderr.write(printable(faultLines(faults).join("\n") + "\n"));
  return 1;
}

function dispatch(argv: string[]): Promise<Reply> | Reply {
  const [name, ...rest] = argv;
  if (name === undefined || name === "--help" || name === "-h" || rest.includes("--help"))
    return { out: HELP, code: name === undefined ? 2 : 0 };
  if (!Object.hasOwn(SUBCOMMANDS, name)) throw new CallFault(unknown(name));
  const { options, run } = SUBCOMMANDS[name]!;
  const { positionals, values } = parsed(rest, options);
  return run(positionals, values);
}

/** "--seed -1" as one argument: a figure below nought is a value, and what is wrong with it is told later. */
const joined = (arg: string, k: number, args: readonly string[]): string[] => {
  const isFigure = (text = "") => /^-[\d.]/.test(text);
  if (k > 0 && isFigure(arg) && /^--[^=]+$/.test(args[k - 1]!)) return [];
  return /^--[^=]+$/.test(arg) && isFigure(args[k + 1]) ? [`${arg}=${args[k + 1]}`] : [arg];
};

function parsed(args: string[], options: Options): { positionals: string[]; values: Values } {
  try {
    return parseArgs({ args: args.flatMap(joined), options, allowPositionals: true }) as {
      positionals: string[];
      values: Values;
    };
  } catch (error) {
    const [first] = (error as Error).message.split(/\. |\n/);
    throw new CallFault(`${first!.charAt(0).toLowerCase()}${first!.slice(1)}; see fitful help`);
  }
}

function unknown(name: string): string {
  const known = Object.keys(SUBCOMMANDS);
  const near = nearest(name, known);
  return `found ${name}, expected one of ${known.join(", ")}${near ? `; nearest is ${near}` : ""}`;
}

/** Names come from files: what would steer a terminal is shown, not obeyed. */
const printable = (text: string): string => text.replace(/[^\P{Cc}\n]/gu, "�");
