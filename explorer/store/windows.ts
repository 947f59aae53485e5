/** What the windows of one browser tell each other: which ticket was just saved or taken off the bench. */
const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("fitful");

/**
 * What this window is called: loaded again it keeps its name, and no other one has it. A duplicate of a window begins with
 * a copy of what that window keeps, so the name is kept only from when one page goes until the next one comes.
 */
export const THIS_WINDOW = nameOfWindow();

function nameOfWindow(): string {
  const fresh = Math.random().toString(36).slice(2, 10);
  try {
    const name = sessionStorage.getItem("window") ?? fresh;
    sessionStorage.removeItem("window");
    window.addEventListener("pagehide", ({ persisted }) => {
      if (!persisted) sessionStorage.setItem("window", name); // a page that may come back still has it
    });
    return name;
  } catch {
    return fresh; // a browser that keeps nothing for the page
  }
}

export const tellOthers = (ticket: string): void => channel?.postMessage(ticket);

/** Returns how to stop listening. */
export function onOthers(heard: (ticket: string) => void): () => void {
  const listen = ({ data }: MessageEvent<string>) => heard(data);
  channel?.addEventListener("message", listen);
  return () => channel?.removeEventListener("message", listen);
}
