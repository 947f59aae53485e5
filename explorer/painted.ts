/** Told when what was just changed is on the screen. */

/** A page that paints nothing for so many milliseconds is not waited for. */
const AT_MOST = 250;

export const painted = (): Promise<void> =>
  new Promise((resolve) => {
    if (document.hidden) return resolve();
    setTimeout(resolve, AT_MOST);
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel(); // a task of its own, behind the frame
      port1.onmessage = () => resolve();
      port2.postMessage(null);
    });
  });
