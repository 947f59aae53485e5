/**
 * A ticket as a round of codes, each small enough to be read from a screen, in any order and as often as it takes.
 *
 * A frame: "Ft", a checksum of the whole (4 bytes), how many frames there are, which one this is, and its bytes. Pure.
 */
const MARK = [0x46, 0x74];
const HEAD = MARK.length + 4 + 2;
/** bytes in one frame: 65 × 65 squares, which a telephone reads at arm's length */
const BODY = 320;
const MOST = 255;

/** @throws {RangeError} where it would take more than 255 frames */
export function framesOf(data: Uint8Array): Uint8Array[] {
  const total = Math.max(1, Math.ceil(data.length / BODY));
  if (total > MOST)
    throw new RangeError(
      `ticket: found ${data.length} bytes, expected at most ${MOST * BODY}: carry it as a file`,
    );
  const check = checksum(data);
  return Array.from({ length: total }, (_, n) =>
    Uint8Array.from([...MARK, ...check, total, n, ...data.subarray(n * BODY, (n + 1) * BODY)]),
  );
}

/** FNV-1a, 32 bits (Fowler, Noll, Vo; draft-eastlake-fnv): against a misread, not against anybody. */
function checksum(data: Uint8Array): number[] {
  let hash = 0x811c9dc5;
  for (const byte of data) hash = Math.imul(hash ^ byte, 0x01000193);
  return [24, 16, 8, 0].map((shift) => (hash >>> shift) & 0xff);
}

/** Frames as they are read. A frame of another ticket begins anew: somebody holds up another screen. */
export class Gathering {
  #check = "";
  #parts: (Uint8Array | undefined)[] = [];

  get total(): number {
    return this.#parts.length;
  }
  get have(): number {
    return this.#parts.filter((part) => part !== undefined).length;
  }

  /** True where it is a frame of ours. */
  add(frame: Uint8Array): boolean {
    const [total, n] = [frame[HEAD - 2] ?? 0, frame[HEAD - 1] ?? 0];
    if (!MARK.every((byte, i) => frame[i] === byte) || n >= total) return false;
    const check = frame.slice(MARK.length, HEAD - 2).join();
    if (check !== this.#check || total !== this.total) {
      this.#check = check;
      this.#parts = new Array<undefined>(total).fill(undefined);
    }
    this.#parts[n] = frame.slice(HEAD);
    return true;
  }

  /** The whole, once every frame is there; null before, and where the whole is not what was shown. */
  whole(): Uint8Array | null {
    if (this.total === 0 || this.have < this.total) return null;
    const data = Uint8Array.from(this.#parts.flatMap((part) => [...part!]));
    if (checksum(data).join() === this.#check) return data;
    this.#parts = []; // one was misread: read them all again
    return null;
  }
}
