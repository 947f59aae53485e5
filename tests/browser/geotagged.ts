/**
 * A JPEG picture with the place it was taken in its EXIF block, made by hand (Exif 2.3, JEITA CP-3451: APP1 segment,
 * TIFF header, a GPS directory with latitude and longitude). The place is invented.
 */
const u16 = (n: number) => [n >> 8, n & 255];
const u32 = (n: number) => [...u16(n >>> 16), ...u16(n & 0xffff)];
const text = (s: string) => [...s].map((c) => c.charCodeAt(0));
const entry = (tag: number, type: number, count: number, value: number[]) => [
  ...u16(tag),
  ...u16(type),
  ...u32(count),
  ...value,
];
const rationals = (...numbers: number[]) => numbers.flatMap((n) => [...u32(n), ...u32(1)]);

/** Degrees, minutes and seconds that are looked for afterwards. */
export const LATITUDE = rationals(58, 37, 41);
const LONGITUDE = rationals(3, 21, 53);

/** The APP1 segment: one directory that points to the GPS directory, which points to its numbers. */
function exif(): number[] {
  const ifd = 8;
  const gps = ifd + 2 + 12 + 4;
  const numbers = gps + 2 + 4 * 12 + 4;
  const tiff = [
    ...text("MM"), ...u16(42), ...u32(ifd),
    ...u16(1), ...entry(0x8825, 4, 1, u32(gps)), ...u32(0),
    ...u16(4),
    ...entry(1, 2, 2, [...text("N"), 0, 0, 0]),
    ...entry(2, 5, 3, u32(numbers)),
    ...entry(3, 2, 2, [...text("W"), 0, 0, 0]),
    ...entry(4, 5, 3, u32(numbers + LATITUDE.length)),
    ...u32(0),
    ...LATITUDE, ...LONGITUDE,
  ]; // prettier-ignore
  const body = [...text("Exif"), 0, 0, ...tiff];
  return [0xff, 0xe1, ...u16(body.length + 2), ...body];
}

/** The picture with the block behind its start marker. */
export const geotagged = (jpeg: Buffer): Buffer =>
  Buffer.concat([jpeg.subarray(0, 2), Buffer.from(exif()), jpeg.subarray(2)]);
