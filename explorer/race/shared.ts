/** Work shared out among workers: each does every so manieth item, and tells of every row as it is done. */

/** What a worker tells. */
export type Told<Row> = { row: Row } | { done: true } | { failure: string };

/** Which items are a worker's: from, from + stride, … */
export interface Part {
  from: number;
  stride: number;
}

/** What is needed of a worker; a test hands in its own. */
export type Making = () => Pick<Worker, "postMessage" | "terminate" | "onmessage" | "onerror">;

export interface Heard<Row> {
  row: (row: Row) => void;
  /** every worker is through */
  done: () => void;
  failed: (why: string) => void;
}

/** Asked: what every worker is told beside its part, plain data. */
export class SharedWork<Asked extends object, Row> {
  #workers: ReturnType<Making>[] = [];

  constructor(
    private readonly cores: number,
    private readonly make: Making,
  ) {}

  /** Ends what was under way. */
  start(asked: Asked, items: number, heard: Heard<Row>): void {
    this.end();
    const stride = Math.max(1, Math.min(this.cores, items));
    let open = stride;
    this.#workers = Array.from({ length: stride }, (_, from) => {
      const worker = this.make();
      worker.onmessage = ({ data }: MessageEvent<Told<Row>>) => {
        if ("row" in data) heard.row(data.row);
        else if ("failure" in data) heard.failed(data.failure);
        else if (--open === 0) heard.done();
      };
      worker.onerror = (event) => heard.failed(event.message || "a worker could not be started");
      worker.postMessage({ ...asked, from, stride });
      return worker;
    });
  }

  end(): void {
    for (const worker of this.#workers) worker.terminate();
    this.#workers = [];
  }
}

/** The worker's side. */
export function tellAll<Row>(rows: Iterable<Row>, tell: (told: Told<Row>) => void): void {
  try {
    for (const row of rows) tell({ row });
    tell({ done: true });
  } catch (error) {
    tell({ failure: error instanceof Error ? error.message : String(error) });
  }
}
