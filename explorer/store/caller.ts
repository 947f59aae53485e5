/**
 * A worker that answers every question once, in order. A question may be answered in parts: `onpart` is told of each
 * before the last.
 */
export type Spoken = { id: number } & ({ part: unknown } | { answer: unknown } | { failure: string });

interface Waiting {
  resolve: (answer: unknown) => void;
  reject: (error: Error) => void;
  onpart: (part: unknown) => void;
}

export class Caller {
  #worker: Worker | null = null;
  #waiting = new Map<number, Waiting>();
  #last = 0;

  constructor(private readonly make: () => Worker) {}

  ask<A>(question: object, onpart: (part: unknown) => void = () => undefined): Promise<A> {
    const worker = (this.#worker ??= this.#start());
    const id = ++this.#last;
    return new Promise<unknown>((resolve, reject) => {
      this.#waiting.set(id, { resolve, reject, onpart });
      worker.postMessage({ id, question });
    }) as Promise<A>;
  }

  /** Stops the worker; what waits fails, and the next question starts a new one. */
  close(why = "stopped"): void {
    this.#worker?.terminate();
    this.#worker = null;
    for (const { reject } of this.#waiting.values()) reject(new Error(why));
    this.#waiting.clear();
  }

  #start(): Worker {
    const worker = this.make();
    worker.onmessage = ({ data }: MessageEvent<Spoken>) => {
      const waiting = this.#waiting.get(data.id);
      if ("part" in data) return waiting?.onpart(data.part);
      this.#waiting.delete(data.id);
      if ("failure" in data) waiting?.reject(new Error(data.failure));
      else waiting?.resolve(data.answer);
    };
    worker.onerror = (event) => this.close(event.message || "the worker could not be started");
    return worker;
  }
}

/** The worker's side. @param answer  may tell of parts before it returns */
export function answering<Q>(answer: (question: Q, part: (part: unknown) => void) => unknown): void {
  self.onmessage = ({ data: { id, question } }: MessageEvent<{ id: number; question: Q }>) => {
    const post = (spoken: Spoken) => self.postMessage(spoken);
    try {
      post({ id, answer: answer(question, (part) => post({ id, part })) });
    } catch (error) {
      post({ id, failure: error instanceof Error ? error.message : String(error) });
    }
  };
}
