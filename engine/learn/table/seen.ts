/**
 * Ticket numbers seen before, as 53 bits of hash in an open table: a million take 16 MB, and the chance that two different
 * numbers of a million share theirs is 6e-5.
 */
export class Seen {
  #slots = new Float64Array(1 << 12);
  #count = 0;

  /** True where it was there already. */
  add(text: string): boolean {
    if (2 * this.#count >= this.#slots.length) this.#grow();
    const key = hashOf(text);
    const at = slotOf(this.#slots, key);
    if (this.#slots[at] === key) return true;
    this.#slots[at] = key;
    this.#count++;
    return false;
  }

  has(text: string): boolean {
    const key = hashOf(text);
    return this.#slots[slotOf(this.#slots, key)] === key;
  }

  #grow(): void {
    const larger = new Float64Array(2 * this.#slots.length);
    for (const key of this.#slots) if (key !== 0) larger[slotOf(larger, key)] = key;
    this.#slots = larger;
  }
}

/** Where the key lies, or the empty slot (0) where it belongs. */
function slotOf(slots: Float64Array, key: number): number {
  let at = key % slots.length;
  while (slots[at] !== 0 && slots[at] !== key) at = (at + 1) % slots.length;
  return at;
}

/** 53 bits, never 0. Two FNV-1a walks with different offsets (Fowler, Noll & Vo), finished by Appleby's mix. */
export function hashOf(text: string): number {
  let [a, b] = [0x811c9dc5, 0x9747b28c];
  for (let k = 0; k < text.length; k++) {
    const c = text.charCodeAt(k);
    a = Math.imul(a ^ c, 0x01000193);
    b = Math.imul(b ^ c, 0x85ebca6b);
  }
  return (mixed(a) & 0x1fffff) * 0x100000000 + (mixed(b) >>> 0) || 1;
}

function mixed(h: number): number {
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}
