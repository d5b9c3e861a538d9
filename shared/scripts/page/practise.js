// How a level is practised, as it is set in its page: tempi, count-in, click, what is left to the
// class, names told; and the lines of the lesson's author, each of which sets all of them.

import { find, findAll } from "../kit/element.js";
import { voice } from "./voice.js";

/** @typedef {import("./form.js").Form} Form */
/** @typedef {import("./music.js").Line} Line */

/**
 * Return the numbers of a choice such as "50 100".
 * @param {string} value
 * @returns {number[]}
 */
function numbers(value) {
  return value.split(" ").filter(Boolean).map(Number);
}

/** The controls of a level. */
export class Practise {
  times = 0;
  /** @type {number[] | null} tempi of a line that are no choice of the list */
  own = null;

  /**
   * @param {HTMLElement} root of the level
   * @param {() => void} changed called when it is practised in another way
   * @param {(line: Line) => void} takes called with a line that was chosen
   * @param {Line[]} lines
   */
  constructor(root, changed, takes, lines) {
    const choice = (/** @type {string} */ name) =>
      /** @type {HTMLSelectElement | null} */ (root.querySelector(`select.${name}`));
    this.speed = /** @type {HTMLSelectElement} */ (choice("speed"));
    this.count = /** @type {HTMLSelectElement} */ (choice("count-in"));
    this.left = /** @type {HTMLSelectElement} */ (choice("left"));
    this.intro = /** @type {HTMLSelectElement} */ (choice("intro"));
    this.names = /** @type {HTMLSelectElement} */ (choice("names"));
    this.beats = choice("clicks");
    this.line = choice("line");
    this.parts = findAll(root, "input[type=checkbox]").map(
      (each) => /** @type {HTMLInputElement} */ (each),
    );
    this.mute = find(root, ".mute");
    this.speed.addEventListener("change", () => this.chosen(changed));
    for (const each of [this.count, this.left, this.intro, this.beats]) each?.addEventListener("change", changed);
    this.names.addEventListener("change", () => {
      this.sayWhetherItSpeaks();
      changed();
    });
    this.line?.addEventListener("change", () => {
      const line = lines[Number(this.line?.value)];
      if (line) this.take(line, takes);
    });
  }

  /** @returns {Form} */
  get form() {
    return {
      tempi: this.own ?? numbers(this.speed.value),
      times: this.times,
      countIn: Number(this.count.value),
      intro: Number(this.intro.value),
      beats: numbers(this.beats?.value ?? ""),
      left: this.left.value,
      names: this.names.value,
    };
  }

  /** @returns {Set<string>} the parts that are not heard */
  get silent() {
    return new Set(this.parts.filter((each) => !each.checked).map((each) => each.value));
  }

  /**
   * Take a speed that was chosen: a line's own tempi are over.
   * @param {() => void} changed
   * @returns {void}
   */
  chosen(changed) {
    this.own = null;
    this.times = 0;
    changed();
  }

  /**
   * Set all controls as a line says.
   * @param {Line} line
   * @param {(line: Line) => void} takes
   * @returns {void}
   */
  take(line, takes) {
    this.own = line.tempi;
    this.times = line.times;
    const tempi = line.tempi.join(" ");
    if (![...this.speed.options].some(({ value }) => value === tempi)) {
      this.speed.add(new Option(`${line.tempi.join(", ")} %`, tempi));
    }
    this.speed.value = tempi;
    this.count.value = String(line.countIn);
    this.takeIntro(line.intro);
    this.left.value = line.left;
    this.names.value = line.names;
    if (this.beats) this.beats.value = line.beats.join(" ");
    for (const part of this.parts) part.checked = line.parts.includes(part.value);
    this.sayWhetherItSpeaks();
    takes(line);
  }

  /**
   * Set the intro, of as many bars as a line says.
   * @param {number} bars
   * @returns {void}
   */
  takeIntro(bars) {
    if (bars) {
      const [, some] = this.intro.options;
      some.value = String(bars);
      some.textContent = bars > 1 ? `the last ${bars} bars` : "the last bar";
    }
    this.intro.value = String(bars);
  }

  /**
   * Say that the browser has no voice, where a name is to be spoken.
   * @returns {void}
   */
  sayWhetherItSpeaks() {
    this.mute.hidden = !this.names.value || voice.speaks;
  }
}
