/** Small things that this browser remembers between visits; one that may not keep anything goes on without them. */

export function keptHere(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

/** @param value  null: forget it */
export function keepHere(key: string, value: string | null): void {
  try {
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, value);
  } catch {
    /* cookies are blocked, or there is no room: it holds until the page is closed */
  }
}
