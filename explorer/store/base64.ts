/** Bytes as text, for files that are text. */
const CHUNK = 0x6000; // a multiple of three, and short enough to be spread as arguments

export async function toBase64(blob: Blob): Promise<string> {
  const bytes = new Uint8Array(await blob.arrayBuffer());
  let text = "";
  for (let from = 0; from < bytes.length; from += CHUNK)
    text += btoa(String.fromCharCode(...bytes.subarray(from, from + CHUNK)));
  return text;
}

/** Null where the text is no base64. */
export function fromBase64(text: string, type: string): Blob | null {
  try {
    return new Blob([Uint8Array.from(atob(text), (character) => character.charCodeAt(0))], { type });
  } catch {
    return null;
  }
}
