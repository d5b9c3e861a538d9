// A section of an essay: its text, its question, the choices, and what is told once one is taken.

import { button, element, findAll } from "../kit/element.js";

/**
 * One of the answers that can be given.
 * @typedef {{text: string, parts: string[], said: string[], beside: import("./figure.js").Both,
 *   hear: [string, number] | null}} Choice
 */

/**
 * A section, as it is sent.
 * @typedef {object} Told
 * @property {string} heading
 * @property {string[]} text paragraphs of HTML
 * @property {Choice[]} choices
 * @property {number} right
 * @property {string} word what the right one is called
 * @property {string} side clock or neck: what is asked about, where there is room for one of them
 * @property {import("./figure.js").Moment} asked
 * @property {import("./figure.js").Moment} told
 * @property {import("./figure.js").Both} truth
 * @property {string[]} reason
 * @property {string[]} then
 * @property {string} code
 * @property {string} prints
 */

/**
 * What a section tells the essay.
 * @typedef {object} SectionDesk
 * @property {(choice: number) => void} answer
 * @property {() => void} again
 * @property {() => void} look
 * @property {() => void} next
 * @property {string} progress
 * @property {string} onward what the next one is called, or nothing at the end
 */

/** No guess: the answer was asked for. */
export const TOLD = -1;
const TICK = '<svg viewBox="0 0 20 20" aria-hidden="true"><circle cx="10" cy="10" r="9"/><path d="M5.5 10.5l3 3 6-7"/></svg>';
const CROSS = '<svg viewBox="0 0 20 20" aria-hidden="true"><circle cx="10" cy="10" r="8"/><path d="M6.5 6.5l7 7M13.5 6.5l-7 7"/></svg>';

/**
 * Make paragraphs of HTML that the library wrote.
 * @param {string[]} texts
 * @param {string} [kind]
 * @returns {HTMLElement[]}
 */
export function paragraphs(texts, kind = "") {
  return texts.map((text) => {
    const made = element("p", kind ? { class: kind } : {});
    made.innerHTML = text;
    return made;
  });
}

/**
 * Make a sign with its word: right is a solid disc with a tick, not yet an open one with a cross.
 * @param {boolean} right
 * @param {string} word
 * @returns {HTMLElement}
 */
function signed(right, word) {
  const made = element("span", { class: right ? "hk-sign hk-right-sign" : "hk-sign" });
  made.innerHTML = right ? TICK : CROSS;
  made.append(word);
  return made;
}

/** A section on the page. */
export class SectionView {
  /**
   * @param {Told} told
   * @param {SectionDesk} desk
   */
  constructor(told, desk) {
    this.told = told;
    this.desk = desk;
    this.choices = element("div", { class: "hk-choices", role: "group", "aria-label": "choices" });
    this.answer = element("div", { class: "hk-answer", "aria-live": "polite" });
    this.after = element("div", { class: "hk-after" });
    this.look = button("show on the figure", () => desk.look(), { class: "hk-quiet" });
    const heading = element("h2", {}, told.heading);
    const left = element("div", { class: "hk-question" }, heading, ...paragraphs(told.text), this.choices, this.look);
    const row = element("div", { class: "hk-asks" }, left, this.answer);
    this.root = element("section", { "aria-label": told.heading }, row, this.after);
  }

  /**
   * Show how the section stands.
   * @param {number | undefined} given the choice that was taken
   * @param {boolean} last whether it is the last that was reached
   * @param {boolean} seen whether the figure shows it
   * @returns {void}
   */
  show(given, last, seen) {
    this.showChoices(given);
    this.look.hidden = seen;
    this.answer.replaceChildren(...(given === undefined ? [] : this.toldOf(given)));
    this.answer.classList.toggle("hk-open", given !== undefined);
    this.after.replaceChildren(...this.afterOf(given, last));
  }

  /**
   * @param {number | undefined} given
   * @returns {void}
   */
  showChoices(given) {
    const made = this.told.choices.map((choice, place) => this.choiceOf(choice, place, given));
    if (given === undefined) {
      made.push(button("Tell me", () => this.desk.answer(TOLD), { class: "hk-quiet", "data-choice": "tell" }));
    }
    this.choices.replaceChildren(...made);
  }

  /**
   * Make one choice: a button while it is asked, then what it was.
   * @param {Choice} choice
   * @param {number} place
   * @param {number | undefined} given
   * @returns {HTMLElement}
   */
  choiceOf(choice, place, given) {
    const { right, word } = this.told;
    const isRight = given !== undefined && place === right;
    const isGuess = given === place;
    const made = button(choice.text, () => this.desk.answer(place), { class: "hk-choice", "data-choice": String(place) });
    made.classList.toggle("hk-truth", isRight);
    if (given !== undefined) made.disabled = true;
    const words = [isGuess ? "you" : "", isRight ? word : ""].filter(Boolean).join(", ");
    const below = words ? signed(isRight, words) : element("span", { class: "hk-sign" });
    const frame = element("span", { class: isGuess ? "hk-framed hk-guess" : "hk-framed" }, made);
    return element("span", { class: "hk-one" }, frame, below);
  }

  /**
   * Return what is told: whether it is right, the reason first, then what the guess was.
   * @param {number} given
   * @returns {HTMLElement[]}
   */
  toldOf(given) {
    const { choices, right, reason } = this.told;
    const head = element("h3", {});
    if (given === TOLD) head.append(`It is ${choices[right].text}.`);
    else if (given === right) head.append(signed(true, "Right."), ` It is ${choices[right].text}.`);
    else head.append(signed(false, "Not yet."), ` It is ${choices[right].text}.`);
    const guess = given >= 0 && given !== right ? choices[given] : null;
    const heard = [choices[right].hear, guess?.hear].filter((each) => each);
    const sounds = heard.map((each) => this.soundOf(/** @type {[string, number]} */ (each)));
    const buttons = sounds.length ? [element("p", { class: "hk-heard" }, ...sounds)] : [];
    return [head, ...paragraphs(reason, "hk-reason"), ...paragraphs(guess?.said ?? [], "hk-yours"), ...buttons];
  }

  /**
   * @param {[string, number]} sound
   * @returns {HTMLElement}
   */
  soundOf([label, place]) {
    return element("button", { type: "button", class: "hk-sound", "data-hear": String(place) }, label);
  }

  /**
   * Return what follows an answer, and what goes on.
   * @param {number | undefined} given
   * @param {boolean} last
   * @returns {HTMLElement[]}
   */
  afterOf(given, last) {
    const { progress, onward } = this.desk;
    if (given === undefined) return [element("p", { class: "hk-note" }, `The text goes on when you have answered. ${progress}`)];
    const again = button("ask me again", () => this.desk.again(), { class: "hk-quiet" });
    const text = element("div", { class: "hk-then" }, ...paragraphs(this.told.then), again);
    if (!last || !onward) return [text];
    const next = button(onward, () => this.desk.next(), { class: "hk-next" });
    return [text, element("div", { class: "hk-on" }, next, element("span", { class: "hk-note" }, progress))];
  }

  /**
   * Give the focus to what is to be done next.
   * @returns {void}
   */
  reach() {
    const all = findAll(this.root, ".hk-choice:not([disabled]), .hk-next");
    all[0]?.focus({ preventScroll: true });
  }
}
