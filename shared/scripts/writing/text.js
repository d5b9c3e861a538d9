// The text of the lesson: told to the kernel one turn after the other, the newest only.  What the
// kernel has not heard is kept by the browser, and offered; it is never lost, and never put in
// unasked.

import { button, element } from "../kit/element.js";
import { Gathered, Kept } from "../kit/typed.js";

// Long enough to gather quick strokes, too short to be noticed.
const GATHER_MS = 40;
const SILENT_MS = 3000;
const SILENT = "The kernel does not answer. What you type is kept by this browser.";
const ELSEWHERE = "The text is being typed in another view of this page. ";
const LEFT = "Something was typed while the kernel did not answer. ";

/**
 * What a text has to do with the page.
 * @typedef {object} Around
 * @property {HTMLElement} root says which turn was answered, and how long that took
 * @property {HTMLElement} notes where is said what became of the text
 * @property {(message: object) => void} tell
 * @property {() => void} draw called when lines are to be marked anew
 */

/** What is typed, and how much of it the kernel has. */
export class LessonText {
  /**
   * @param {HTMLTextAreaElement} area
   * @param {string} name under which the browser keeps what the kernel has not heard yet
   * @param {Around} around
   */
  constructor(area, name, around) {
    this.area = area;
    this.around = around;
    this.id = String(Math.random());
    this.kept = new Kept(name);
    this.gathered = new Gathered(GATHER_MS, () => this.send());
    this.silent = new Gathered(SILENT_MS, () => this.sayNothingHeard());
    this.turn = 0;
    this.under = 0; // the turn that the kernel was told and has not answered
    this.late = 0; // the turn that it did not answer in time
    /** @type {string | null} */
    this.told = null;
    this.askedAt = 0;
    area.addEventListener("input", () => this.typed());
  }

  /**
   * Keep what was typed, and tell it soon.
   * @returns {void}
   */
  typed() {
    this.around.draw();
    this.area.dataset.heard = "no";
    this.kept.put(this.area.value);
    this.gathered.later();
  }

  /**
   * Tell the text as it stands, unless an answer is waited for.
   * @returns {void}
   */
  send() {
    if (this.under) return;
    const text = this.area.value;
    if (text === this.told) {
      this.allIsHeard();
      return;
    }
    this.turn += 1;
    this.under = this.turn;
    this.late = 0;
    this.told = text;
    this.askedAt = performance.now();
    this.silent.later();
    this.around.tell({ text, turn: this.turn, by: this.id });
  }

  /**
   * Note that the kernel has a text, and tell the next one.
   * @param {number} turn
   * @returns {void}
   */
  heard(turn) {
    if (turn !== (this.under || this.late)) return;
    const { root, notes } = this.around;
    this.under = 0;
    this.late = 0;
    this.silent.cancel();
    if (!notes.querySelector("button")) notes.replaceChildren();
    root.dataset.turn = String(turn);
    root.dataset.took = String(Math.round(performance.now() - this.askedAt));
    if (this.area.value === this.told) this.allIsHeard();
    else if (!this.gathered.waits) this.send();
  }

  /**
   * Note that the kernel has all that stands there.
   * @returns {void}
   */
  allIsHeard() {
    this.area.dataset.heard = "yes";
    this.kept.forget();
  }

  /**
   * Put in a text that takes the place of what was typed.
   * @param {string} text
   * @returns {void}
   */
  put(text) {
    const { area } = this;
    this.gathered.cancel();
    this.silent.cancel();
    this.under = 0;
    this.late = 0;
    this.told = text;
    if (area.value !== text) area.value = text;
    if (area.disabled) {
      area.disabled = false;
      area.focus();
    }
    this.around.draw();
    this.offer(text);
    area.dataset.heard = "yes";
  }

  /**
   * Say that nobody answers; what is typed next is told anew, and a late answer is an answer.
   * @returns {void}
   */
  sayNothingHeard() {
    this.late = this.under;
    this.under = 0;
    this.note(SILENT);
  }

  /**
   * Leave the text to another view of the page; who types has it, and it can be taken over.
   * @returns {void}
   */
  leave() {
    this.area.disabled = true;
    this.note(ELSEWHERE, button("Continue here", () => this.around.tell({ hello: this.id })));
  }

  /**
   * Offer what was typed while no kernel listened.
   * @param {string} text as the kernel has it
   * @returns {void}
   */
  offer(text) {
    const left = this.kept.text;
    this.note("");
    if (left === null || left === text) return;
    const done = (/** @type {() => void} */ does) => () => {
      does();
      this.note("");
      this.area.focus();
    };
    const back = () => {
      this.area.value = left;
      this.typed();
    };
    const drop = () => this.kept.forget();
    this.note(LEFT, button("Restore it", done(back)), button("Discard it", done(drop)));
  }

  /**
   * Say what became of the text; with no words, nothing.
   * @param {string} words
   * @param {...HTMLElement} buttons
   * @returns {void}
   */
  note(words, ...buttons) {
    this.around.notes.replaceChildren(...(words ? [element("span", {}, words), ...buttons] : []));
  }

  /**
   * Tell what is left to tell, and end.
   * @returns {void}
   */
  end() {
    this.gathered.cancel();
    if (this.area.value !== this.told) this.send();
    this.silent.cancel();
  }
}
