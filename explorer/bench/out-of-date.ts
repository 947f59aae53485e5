/**
 * Marks what is out of date: for who asks at once, for the eye after a while. What is there again in no time flashes
 * nothing, and a press has nothing more to lay out and paint.
 */
import type { Attachment } from "svelte/attachments";

const A_WHILE = 400;

export function outOfDate(is: () => boolean): Attachment<HTMLElement> {
  return (node) => {
    const busy = is();
    node.ariaBusy = String(busy);
    if (!busy) return;
    const timer = setTimeout(() => (node.dataset["late"] = ""), A_WHILE);
    return () => {
      clearTimeout(timer);
      delete node.dataset["late"];
    };
  };
}
