/** Told when what was just changed is on the screen. */

/** A page that paints nothing for so many milliseconds is not waited for. */
const AT_MOST = 250;

/** Nor is one that nobody sees, or sees any more. */
export const painted = (): Promise<void> =>
  new Promise((resolve) => {
    if (document.hidden) return resolve();
    const over = new AbortController();
    const done = () => {
      over.abort();
      resolve();
    };
    document.addEventListener("visibilitychange", done, { signal: over.signal });
    setTimeout(done, AT_MOST);
    requestAnimationFrame(() => behind(done));
  });

/** In a task of its own behind the frame, before what else waits: a database may take long to take a long record. */
function behind(task: () => void): void {
  if ("scheduler" in globalThis) return void scheduler.postTask(task, { priority: "user-blocking" });
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = task;
  port2.postMessage(null);
}
