/** Bytes → text. The encoding is told by a byte-order mark, or proposed from the beginning of the file. */

export const ENCODINGS = ["utf-8", "utf-16le", "utf-16be", "windows-1252"] as const;
export type Encoding = (typeof ENCODINGS)[number];

/** What a decoder puts in place of bytes that are no text: a row that holds it is rejected. */
export const UNREADABLE = "\uFFFD";

/** @param head  the first few kilobytes of a file */
export function encodingOf(head: Uint8Array): Encoding {
  const [a, b, c] = head;
  if (a === 0xef && b === 0xbb && c === 0xbf) return "utf-8";
  if (a === 0xff && b === 0xfe) return "utf-16le";
  if (a === 0xfe && b === 0xff) return "utf-16be";
  return wideOf(head) ?? (isUtf8(head) ? "utf-8" : "windows-1252");
}

/** Two bytes a character, without a mark: most of a table is Latin, whose other byte is 0. */
function wideOf(head: Uint8Array): Encoding | null {
  const zeros = [0, 0];
  head.forEach((byte, k) => (zeros[k % 2]! += Number(byte === 0)));
  const most = head.length / 8;
  if (zeros[1]! > most && zeros[0]! < most / 8) return "utf-16le";
  return zeros[0]! > most && zeros[1]! < most / 8 ? "utf-16be" : null;
}

function isUtf8(head: Uint8Array): boolean {
  try {
    new TextDecoder("utf-8", { fatal: true }).decode(head, { stream: true }); // a character cut at the end is no fault
    return true;
  } catch {
    return false;
  }
}

/** Chunks of bytes → chunks of text, without the byte-order mark; bytes that are no text become U+FFFD. */
export function decoderOf(encoding: Encoding): (bytes: Uint8Array | null) => string {
  const decoder = new TextDecoder(encoding);
  return (bytes) => (bytes === null ? decoder.decode() : decoder.decode(bytes, { stream: true }));
}
