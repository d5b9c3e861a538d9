// A sound that was sent as the bytes of a file: kept by its address, played, given back.

import { element } from "./element.js";

/**
 * Return the address of some bytes; it must be given back once nobody needs it.
 * @param {BlobPart} data
 * @param {string} kind as the web names it
 * @returns {string}
 */
export function addressOf(data, kind) {
  return URL.createObjectURL(new Blob([data], { type: kind }));
}

/** One sound at a time, in an audio element of its own. */
export class Clip {
  /** @param {Record<string, string>} [attributes] of the audio element */
  constructor(attributes = {}) {
    this.audio = element("audio", { preload: "auto", ...attributes });
    this.address = "";
  }

  /** @returns {boolean} whether there is a sound */
  get is() {
    return this.address !== "";
  }

  /**
   * Take a sound in the place of the one before.
   * @param {BlobPart} data
   * @param {string} [kind]
   * @returns {void}
   */
  take(data, kind = "audio/wav") {
    const before = this.address;
    this.address = addressOf(data, kind);
    this.audio.src = this.address;
    if (before) URL.revokeObjectURL(before);
  }

  /**
   * Give the sound back.
   * @returns {void}
   */
  forget() {
    if (!this.address) return;
    this.audio.removeAttribute("src");
    this.audio.load();
    URL.revokeObjectURL(this.address);
    this.address = "";
  }

  /**
   * Play from a time on.
   * @param {number} from in seconds
   * @param {(seconds: number) => void} begun told how long the sound is, once it is heard
   * @param {(trouble: string) => void} failed told why it cannot be heard
   * @returns {void}
   */
  play(from, begun, failed) {
    const start = () => {
      this.audio.currentTime = from;
      this.audio.play().then(() => begun(this.audio.duration), (error) => {
        // A sound that gives way to the next one is no fault.
        if (error.name !== "AbortError") failed(`no sound: ${error.message}`);
      });
    };
    if (this.audio.readyState > 0) start();
    else this.audio.addEventListener("loadedmetadata", start, { once: true });
  }
}
