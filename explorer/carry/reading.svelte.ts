/** Reads codes from the camera until a whole ticket is there. */
import jsQR from "jsqr";
import { Gathering } from "./frames.js";
import { unpacked } from "./packed.js";

/** Squares are found as well in this many pixels, and sooner. */
const WIDE = 640;

export class Reading {
  have = $state(0);
  total = $state(0);
  failure: string | null = $state(null);
  #gathering = new Gathering();
  #stream: MediaStream | null = null;
  #canvas = document.createElement("canvas");

  /** The text that was carried; null where it was stopped. */
  async read(video: HTMLVideoElement): Promise<string | null> {
    this.failure = null;
    try {
      this.#stream = await camera();
      video.srcObject = this.#stream;
      await video.play();
      while (this.#stream) {
        await new Promise((resolve) => requestAnimationFrame(resolve));
        const whole = this.#look(video);
        if (whole) return await unpacked(whole);
      }
    } catch (error) {
      if (this.#stream || error instanceof DOMException) this.failure = wordsOf(error);
      else throw error;
    } finally {
      this.stop();
    }
    return null;
  }

  stop(): void {
    for (const track of this.#stream?.getTracks() ?? []) track.stop();
    this.#stream = null;
  }

  #look(video: HTMLVideoElement): Uint8Array | null {
    if (video.videoWidth === 0) return null;
    const [width, height] = [WIDE, Math.round((WIDE * video.videoHeight) / video.videoWidth)];
    Object.assign(this.#canvas, { width, height });
    const context = this.#canvas.getContext("2d", { willReadFrequently: true })!;
    context.drawImage(video, 0, 0, width, height);
    const seen = jsQR(context.getImageData(0, 0, width, height).data, width, height, {
      inversionAttempts: "dontInvert",
    });
    if (!seen || !this.#gathering.add(Uint8Array.from(seen.binaryData))) return null;
    const whole = this.#gathering.whole();
    [this.have, this.total] = [this.#gathering.have, this.#gathering.total];
    return whole;
  }
}

function camera(): Promise<MediaStream> {
  if (!("mediaDevices" in navigator)) throw new DOMException("", "SecurityError");
  return navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
}

const WORDS: Record<string, string> = {
  NotAllowedError:
    "The page was not allowed to use the camera. Allow it in the browser, or carry the ticket as a file.",
  NotFoundError: "No camera was found. Carry the ticket as a file.",
  NotReadableError: "Another program uses the camera.",
  SecurityError:
    "The browser gives a camera to pages of this machine or over https alone. Carry the ticket as a file.",
};

const wordsOf = (error: unknown): string => {
  if (!(error instanceof Error)) return String(error);
  return WORDS[error.name] ?? `The codes could not be read: ${error.message || error.name}.`;
};
