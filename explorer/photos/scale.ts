/**
 * Photographs made small before they are stored. Drawing them anew leaves only what can be seen: where and when they
 * were taken (EXIF) is gone.
 */

/** Pixels of the longer side: enough to read the print on a part. */
export const LONGEST = 1600;
const QUALITY = 0.85;

/** The size that fits within `longest`, never larger than it was; whole pixels, at least 1. */
export function fitted(width: number, height: number, longest = LONGEST): { width: number; height: number } {
  const scale = Math.min(1, longest / Math.max(width, height));
  const whole = (pixels: number) => Math.max(1, Math.round(pixels * scale));
  return { width: whole(width), height: whole(height) };
}

/** @throws {Error} where the browser cannot read the picture */
export async function scaledDown(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" }).catch(() => null);
  if (!picture)
    throw new Error(
      `photograph: found ${file.type || "something"} that this browser cannot show, expected a picture such as JPEG or PNG`,
    );
  const { width, height } = fitted(picture.width, picture.height);
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [width, height];
  const pen = canvas.getContext("2d")!;
  pen.fillStyle = "white"; // JPEG knows nothing transparent
  pen.fillRect(0, 0, width, height);
  pen.drawImage(picture, 0, 0, width, height);
  picture.close();
  const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  if (!blob) throw new Error("photograph: found no room to draw it, expected a smaller picture");
  return blob;
}
