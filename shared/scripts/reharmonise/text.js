// The tune as it is typed: told soon after the last key, and at once when the text is left.

import { Gathered, Kept } from "../kit/typed.js";
import { keepLines } from "../kit/widget.js";

const TYPED_MS = 350;

/**
 * What a text has to do with the page.
 * @typedef {object} Around
 * @property {() => string} known the text as the kernel has it
 * @property {(text: string) => void} tell
 * @property {() => void} settled called where there was nothing to tell
 */

/** The text of the tune. */
export class TuneText {
  /**
   * @param {HTMLTextAreaElement} area
   * @param {string} name under which the browser keeps what the kernel has not heard yet
   * @param {Around} around
   */
  constructor(area, name, around) {
    this.area = area;
    this.around = around;
    this.told = around.known();
    /** The text as the kernel had it when something was last told or shown. */
    this.before = this.told;
    this.kept = new Kept(name);
    this.gathered = new Gathered(TYPED_MS, () => this.tell());
    keepLines(area);
    area.addEventListener("input", () => {
      this.kept.put(area.value);
      this.gathered.later();
    });
    area.addEventListener("change", () => this.gathered.now());
    area.addEventListener("blur", () => {
      if (!this.isUnanswered) this.show();
    });
  }

  /** @returns {boolean} whether something typed was not told yet */
  get waits() {
    return this.gathered.waits;
  }

  /**
   * Tell what is typed, where that is not known.
   * @returns {void}
   */
  tell() {
    if (this.area.value === this.told) {
      this.around.settled();
      // Another tune may have been opened while a key was waited for.
      if (this.around.known() !== this.before) this.show();
      return;
    }
    this.before = this.around.known();
    this.told = this.area.value;
    this.around.tell(this.told);
  }

  /** @returns {boolean} whether someone types a text that is not answered yet */
  get isTheirs() {
    const { area, told } = this;
    const now = this.around.known();
    const typing = area === document.activeElement && area.dataset.dirty;
    return Boolean(typing) && area.value !== now && area.value === told && now !== told;
  }

  /** @returns {boolean} whether the kernel has not taken on what it was told */
  get isUnanswered() {
    const now = this.around.known();
    return this.told !== now && this.area.value === this.told && now === this.before;
  }

  /**
   * Show the text as the kernel has it, unless someone types.
   * @returns {void}
   */
  show() {
    const now = this.around.known();
    if (now === this.area.value) this.kept.forget();
    if (this.waits || this.isTheirs) return;
    this.told = this.before = now;
    if (this.area.value !== now) this.area.value = now;
    delete this.area.dataset.dirty;
  }

  /**
   * Bring back what no kernel heard, and tell it.
   * @returns {void}
   */
  bringBack() {
    const unheard = this.kept.text;
    if (unheard === null || unheard === this.area.value) return;
    this.area.value = unheard;
    this.tell();
  }
}
