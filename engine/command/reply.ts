/** What a subcommand answers, and the two ways in which it can refuse. */
import type { Issue } from "../weighing.js";

export interface Reply {
  out: string;
  code: ExitCode;
}

/** Options of the call, by their long names. */
export type Values = Record<string, string | boolean | undefined>;

/** 0 fine, 1 the input is wrong, 2 the call is wrong, 3 the program is */
export type ExitCode = 0 | 1 | 2 | 3;

/** A file with everything that is wrong in it. */
export interface Faults {
  file: string;
  issues: Issue[];
}

/** The input is wrong. */
export class InputFaults extends Error {
  constructor(readonly faults: Faults) {
    super(faults.issues.map((issue) => issue.message).join("\n"));
  }
}

/** The call is wrong: an option, an argument. */
export class CallFault extends Error {}

export const faultLines = ({ file, issues }: Faults): string[] =>
  issues.map((issue) => `${file}: ${issue.message}`);

export const json = (data: unknown): string => JSON.stringify(data, null, 2) + "\n";
