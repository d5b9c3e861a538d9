// Sounds that the kernel makes when they are first asked for, kept for the next time.

import { attend } from "../kit/attend.js";
import { Clip } from "../kit/clip.js";

/** The sounds of a page, made by the kernel when they are first asked for. */
export class Sounds {
  /** @param {import("../kit/widget.js").Model} model */
  constructor(model) {
    this.model = attend(model, (words) => this.say(words));
    this.clip = new Clip();
    /** @type {Map<number, BlobPart>} */
    this.kept = new Map();
    this.wanted = -1;
    /** @type {HTMLElement | null} */
    this.by = null;
    this.clip.audio.addEventListener("ended", () => this.mark(null));
    this.say = (/** @type {string} */ _words) => {};
  }

  /**
   * Hear a sound; the same button stops it.
   * @param {number} place
   * @param {HTMLElement} by
   * @returns {void}
   */
  hear(place, by) {
    const stops = this.by === by && !this.clip.audio.paused;
    this.clip.audio.pause();
    this.mark(stops ? null : by);
    if (stops) return;
    this.wanted = place;
    const kept = this.kept.get(place);
    if (kept) return this.play(kept);
    this.model.send({ hear: place });
  }

  /**
   * @param {HTMLElement | null} by
   * @returns {void}
   */
  mark(by) {
    this.by?.removeAttribute("data-sounds");
    this.by = by;
    by?.setAttribute("data-sounds", "");
  }

  /**
   * Take what the kernel sent.
   * @param {{sound?: number, place?: number, trouble?: string}} message
   * @param {BlobPart[]} buffers
   * @returns {void}
   */
  take({ sound, place, trouble }, buffers) {
    if (trouble) this.say(trouble);
    if (sound === undefined || place === undefined) return;
    this.kept.set(place, buffers[0]);
    if (place === this.wanted) this.play(buffers[0]);
  }

  /**
   * @param {BlobPart} data
   * @returns {void}
   */
  play(data) {
    this.clip.take(data);
    const begun = (/** @type {number} */ seconds) => (this.clip.audio.dataset.played = String(seconds));
    this.clip.play(0, begun, (trouble) => this.say(trouble));
  }
}
