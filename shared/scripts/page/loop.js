// Which bars are played round and round: chosen from a list, by two bars, or with the keys A and B.

import { find, findAll } from "../kit/element.js";
import { isCommand } from "../kit/keys.js";

/** @typedef {[number, number]} Span the first and the last bar of a loop */

/**
 * Return two bars in order.  The one at `kept` was set last: the other goes along rather than be
 * passed.
 * @param {number[]} bars
 * @param {number} kept
 * @returns {Span}
 */
export function order([first, last], kept) {
  const bar = kept ? last : first;
  return first > last ? [bar, bar] : [first, last];
}

/** The loop of a level. */
export class Loop {
  /**
   * @param {HTMLElement} root of the level
   * @param {number[]} places where on the page each bar stands that is played
   * @param {() => number} barNow the bar that sounds, or -1
   * @param {() => void} changed called when there is another loop, or none
   */
  constructor(root, places, barNow, changed) {
    this.root = root;
    this.places = places;
    this.barNow = barNow;
    this.changed = changed;
    this.bars = findAll(root, ".bar");
    this.choice = /** @type {HTMLSelectElement} */ (find(root, ".loop"));
    const selects = ["first", "last"].map((name) => find(root, `select.${name}`));
    this.ends = selects.map((each) => /** @type {HTMLSelectElement} */ (each));
    /** @type {Span | null} */
    this.span = null;
    this.choice.addEventListener("change", () => this.choose(this.choice.value));
    for (const end of this.ends) end.addEventListener("change", () => this.chooseBars(end));
    root.addEventListener("keydown", (event) => this.press(event));
  }

  /**
   * Say whether a bar is played where there is a loop.
   * @param {number} bar
   * @returns {boolean}
   */
  has(bar) {
    return !this.span || (this.span[0] <= bar && bar <= this.span[1]);
  }

  /** @returns {number[]} the bars that are chosen as ends */
  get chosen() {
    return this.ends.map((end) => Number(end.value));
  }

  /**
   * Take what was chosen: nothing, two bars such as "8-15", or bars of one's own.
   * @param {string} value
   * @returns {void}
   */
  choose(value) {
    const [first, last] = value === "own" ? this.chosen : value.split("-").map(Number);
    this.set(value ? [first, last] : null);
  }

  /**
   * Take an end that was chosen.
   * @param {HTMLSelectElement} end
   * @returns {void}
   */
  chooseBars(end) {
    this.set(order(this.chosen, this.ends.indexOf(end)));
  }

  /**
   * Set an end by the keys A and B: at the bar that has the focus, else at the one that sounds.
   * @param {KeyboardEvent} event
   * @returns {void}
   */
  press(event) {
    const end = ["a", "b"].indexOf(event.key.toLowerCase());
    const target = /** @type {Element} */ (event.target);
    if (end < 0 || target.matches("select") || isCommand(event)) return;
    const focused = this.barAt(target);
    const bar = focused >= 0 ? focused : this.barNow();
    if (bar < 0) return;
    const span = this.span ? [...this.span] : [bar, this.places.length - 1];
    if (!this.span && end === 1) span[0] = Math.min(Number(this.ends[0].value), bar);
    span[end] = bar;
    this.set(order(span, end));
  }

  /**
   * Return the bar that a part of the page stands for: by its number, else the first that it is.
   * @param {Element} part
   * @returns {number} -1 where it is in no bar
   */
  barAt(part) {
    const number = /** @type {HTMLElement | null} */ (part.closest(".from"));
    if (number) return Number(number.dataset.bar);
    return this.places.indexOf(this.bars.findIndex((each) => each === part.closest(".bar")));
  }

  /**
   * Take a loop, or none.
   * @param {Span | null} span
   * @returns {void}
   */
  set(span) {
    this.span = span;
    this.show();
    this.changed();
  }

  /**
   * Show which bars are played round and round.
   * @returns {void}
   */
  show() {
    const looped = this.span ? this.places.slice(this.span[0], this.span[1] + 1) : [];
    this.bars.forEach((bar, index) => {
      bar.classList.toggle("looped", looped.includes(index));
      bar.classList.toggle("first-looped", index === looped[0]);
      bar.classList.toggle("last-looped", index === looped.at(-1));
    });
    find(this.root, ".range").hidden = !this.span;
    if (this.span) [this.ends[0].value, this.ends[1].value] = this.span.map(String);
    const known = [...this.choice.options].map(({ value }) => value);
    const value = this.span ? this.span.join("-") : "";
    this.choice.value = known.includes(value) ? value : "own";
    find(this.root, ".round").textContent = this.span ? `${this.words}, looped` : "";
  }

  /** @returns {string} the bars of the loop, by their numbers */
  get words() {
    const [a, b] = this.ends.map((end) => end.selectedOptions[0].textContent);
    const [first, last] = this.ends.map((end) => Number(end.value));
    return a === b ? `Bar ${a}` : `Bars ${a} ${last === first + 1 ? "and" : "to"} ${b}`;
  }
}
