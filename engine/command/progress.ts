/** How far something long is, on a terminal's error stream; nothing where that is no terminal. */

/** @returns told how many tickets are done */
export function counter(name: string, tickets: number): (done: number) => void {
  const { stderr } = process;
  return (done) => {
    if (stderr.isTTY) stderr.write(`\r${name}: ${done} of ${tickets} tickets${done === tickets ? "\n" : ""}`);
  };
}
