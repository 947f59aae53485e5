/** Text made small, and back. */
const FORMAT = "deflate-raw";
/** A ticket is far smaller; what is not a ticket may unfold without end. */
const MOST_BYTES = 30e6;

export async function packed(text: string): Promise<Uint8Array> {
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream(FORMAT));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

/** @throws {Error} where it was not packed so, or is larger than any ticket */
export async function unpacked(data: Uint8Array): Promise<string> {
  const stream = new Blob([data as BlobPart]).stream().pipeThrough(new DecompressionStream(FORMAT));
  const reader = stream.getReader();
  const parts: BlobPart[] = [];
  let bytes = 0;
  for (let read = await reader.read(); !read.done; read = await reader.read()) {
    bytes += read.value.length;
    if (bytes > MOST_BYTES)
      throw new RangeError(`codes: found more than ${MOST_BYTES} bytes, expected a ticket`);
    parts.push(read.value);
  }
  return new Blob(parts).text();
}
