/** What the windows of one browser tell each other: which ticket was just saved or taken off the bench. */
const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("fitful");

export const tellOthers = (ticket: string): void => channel?.postMessage(ticket);

/** Returns how to stop listening. */
export function onOthers(heard: (ticket: string) => void): () => void {
  const listen = ({ data }: MessageEvent<string>) => heard(data);
  channel?.addEventListener("message", listen);
  return () => channel?.removeEventListener("message", listen);
}
