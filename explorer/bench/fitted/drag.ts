/**
 * Parts dragged with a pointer: from anything marked `data-part` to anything marked `data-place` ("" is the shelf). Under
 * a finger only what was touched first is dragged, so that the page still scrolls.
 */
export interface DragHands {
  /** the part that is in the hand, or null */
  held(): string | null;
  take(part: string): void;
  /** null: let go over nothing */
  drop(place: string | null): void;
  /** where the pointer is while something is dragged, in the page's pixels; null at the end */
  at(point: { x: number; y: number } | null): void;
}

/** Less than this, in pixels, is a touch and no drag. */
const SLIP = 7;

const marked = (target: EventTarget | null, name: "part" | "place") =>
  target instanceof Element ? target.closest<HTMLElement>(`[data-${name}]`) : null;

export const dragging = (hands: DragHands) => (ground: HTMLElement) => {
  let from: { part: string; x: number; y: number; id: number } | null = null;
  let moving = false;

  function down(event: PointerEvent) {
    const part = marked(event.target, "part")?.dataset["part"];
    if (part === undefined || event.button !== 0) return;
    if (event.pointerType === "mouse" || hands.held() === part)
      from = { part, x: event.clientX, y: event.clientY, id: event.pointerId };
  }
  function move(event: PointerEvent) {
    if (from?.id !== event.pointerId) return;
    if (!moving && Math.hypot(event.clientX - from.x, event.clientY - from.y) > SLIP) {
      moving = true;
      if (hands.held() !== from.part) hands.take(from.part);
    }
    if (moving) hands.at({ x: event.clientX, y: event.clientY });
  }
  function up(event: PointerEvent) {
    if (from?.id !== event.pointerId) return;
    if (moving) {
      const place = marked(document.elementFromPoint(event.clientX, event.clientY), "place");
      swallowClick();
      hands.drop(place?.dataset["place"] ?? null);
    }
    end();
  }
  function end() {
    if (moving) hands.at(null);
    from = null;
    moving = false;
  }
  function cancel(event: PointerEvent) {
    if (from?.id !== event.pointerId) return;
    if (moving) hands.drop(null);
    end();
  }

  ground.addEventListener("pointerdown", down);
  addEventListener("pointermove", move);
  addEventListener("pointerup", up);
  addEventListener("pointercancel", cancel);
  return () => {
    ground.removeEventListener("pointerdown", down);
    removeEventListener("pointermove", move);
    removeEventListener("pointerup", up);
    removeEventListener("pointercancel", cancel);
  };
};

/** The click that a browser makes of a drag's end would take the part up again. */
function swallowClick(): void {
  const swallow = (event: MouseEvent) => event.stopPropagation();
  addEventListener("click", swallow, { capture: true, once: true });
  setTimeout(() => removeEventListener("click", swallow, { capture: true }));
}
