/** What has just begun comes into view, wherever it was begun from. */
export function bringIntoView(node: HTMLElement): void {
  // the heading above it stays in view too
  node.style.scrollMargin = "4rem 0 12rem";
  requestAnimationFrame(() => node.scrollIntoView({ block: "nearest" }));
}
