/**
 * Entries dragged to another place: from anything marked `data-grip` with the entry's id, over rows marked `data-entry`.
 * The page scrolls along when the pointer nears its edge.
 */
export interface RecordHands {
  /** the entry that the dragged one would come before; null: the end; undefined: none is dragged, or out of the window */
  over(before: string | null | undefined): void;
  drop(entry: string, before: string | null): void;
}

/** Less than this, in pixels, is a touch and no drag. */
const SLIP = 7;
const EDGE = 70;
const STEP = 14;

export const draggingEntries = (hands: RecordHands) => (list: HTMLElement) => {
  let from: { entry: string; y: number; pointer: number } | null = null;
  let moving = false;
  let before: string | null | undefined;

  function down(event: PointerEvent) {
    const grip = event.target instanceof Element ? event.target.closest<HTMLElement>("[data-grip]") : null;
    if (grip && event.button === 0)
      from = { entry: grip.dataset["grip"]!, y: event.clientY, pointer: event.pointerId };
  }
  function move(event: PointerEvent) {
    if (from?.pointer !== event.pointerId) return;
    moving ||= Math.abs(event.clientY - from.y) > SLIP;
    if (!moving) return;
    event.preventDefault();
    scrollAlong(list, event.clientY);
    before = isInWindow(event) ? placeUnder(list, event.clientY) : undefined;
    hands.over(before);
  }
  function up(event: PointerEvent) {
    if (from?.pointer !== event.pointerId) return;
    if (moving) {
      swallowClick();
      if (before !== undefined) hands.drop(from.entry, before);
    }
    end();
  }
  function end() {
    if (moving) hands.over(undefined);
    from = null;
    moving = false;
  }

  list.addEventListener("pointerdown", down);
  addEventListener("pointermove", move);
  addEventListener("pointerup", up);
  addEventListener("pointercancel", end);
  return () => {
    list.removeEventListener("pointerdown", down);
    removeEventListener("pointermove", move);
    removeEventListener("pointerup", up);
    removeEventListener("pointercancel", end);
  };
};

const isInWindow = ({ clientX: x, clientY: y }: PointerEvent): boolean =>
  x >= 0 && y >= 0 && x < innerWidth && y < innerHeight;

/** The first entry whose middle lies under `y`; no group above it is asked for its rows, which would have them laid out. */
function placeUnder(list: HTMLElement, y: number): string | null {
  for (const group of list.children) {
    if (group.getBoundingClientRect().bottom < y) continue;
    for (const row of group.querySelectorAll<HTMLElement>("[data-entry]")) {
      const { top, height } = row.getBoundingClientRect();
      if (y < top + height / 2) return row.dataset["entry"]!;
    }
  }
  return null;
}

function scrollAlong(list: HTMLElement, y: number): void {
  const step = y < EDGE ? -STEP : y > innerHeight - EDGE ? STEP : 0;
  let ground: HTMLElement | null = list;
  while (ground && !/auto|scroll/.test(getComputedStyle(ground).overflowY)) ground = ground.parentElement;
  if (step !== 0) (ground ?? document.documentElement).scrollBy({ top: step, behavior: "instant" });
}

/** The click that a browser makes of a drag's end would open the menu. */
function swallowClick(): void {
  const swallow = (event: MouseEvent) => event.stopPropagation();
  addEventListener("click", swallow, { capture: true, once: true });
  setTimeout(() => removeEventListener("click", swallow, { capture: true }));
}
