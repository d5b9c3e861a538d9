// A page of questions: ten a day, by mouse, finger or keys; nothing goes on by itself.

import { button, element, find } from "../kit/element.js";
import { book } from "./book.js";
import { ChangeDesk } from "./changes.js";
import { canSound, hearRows, hush } from "./chords.js";
import { dayOf, Store } from "./memory.js";
import { hearButton, markOf, nextButton, sign, tenRow } from "./parts.js";
import { nameOf, nextQuestion, SOONEST, take, TEN } from "./queue.js";
import { draw } from "./draw.js";
import { answerPlace, framed } from "./places.js";
import { mayAsk, readingBox } from "./reading.js";
import { codeLine, resultsOf, said } from "./results.js";
import { afterParts } from "./told.js";

/** @typedef {import("./book.js").Offer} Offer */

// Where nothing can be heard nothing is asked by ear.
const questions = book.questions.filter((each) => canSound || !each.hear);

/** The page, from one question to the next. */
class Desk {
  /** @param {HTMLElement} root */
  constructor(root) {
    this.root = root;
    this.store = new Store(`harmonykit practice ${book.mark}`);
    this.kept = this.store.read();
    this.save();
    this.number = -1;
    this.begun = 0;
    /** @type {number[]} the scores of this round of ten */
    this.round = this.scoresToday().slice(-(this.scoresToday().length % TEN) || Infinity);
    document.addEventListener("keydown", (event) => this.key(event));
  }

  /**
   * Keep all as it stands.
   * @returns {void}
   */
  save() {
    this.store.write(this.kept);
  }

  /** @returns {number[]} */
  scoresToday() {
    const { ten } = this.kept;
    return ten.day === dayOf(Date.now()) ? ten.done.map(([, score]) => score) : [];
  }

  /**
   * Show parts in place of what was shown, and give the focus to one of them.
   * @param {string} state
   * @param {(Node | string)[]} parts
   * @param {HTMLElement | null} [focused]
   * @returns {void}
   */
  show(state, parts, focused) {
    this.root.dataset.state = state;
    this.root.replaceChildren(...parts.filter((each) => each !== ""));
    scrollTo(0, 0);
    focused?.focus({ preventScroll: true });
  }

  /**
   * Show what the page is, and one button.
   * @returns {void}
   */
  welcome() {
    const done = this.scoresToday().length;
    const again = done >= TEN;
    const going = done % TEN !== 0;
    if (!going) this.round = [];
    const go = nextButton(going ? "Go on" : again ? "Ten more" : "Begin today’s ten", () => this.ask());
    const about = this.kept.answers
      ? `You have answered ${said(this.kept.answers, "question")} so far.`
      : "Ten questions, about five minutes. Any of them may come back until you know it.";
    this.show("welcome", [
      element("p", { class: "about" }, "Practice"),
      element("h1", {}, book.title),
      element("p", { class: "lead" }, about),
      canSound ? "" : element("p", {}, "This browser makes no sound: nothing is asked by ear."),
      this.kept.answers ? "" : opening(),
      readingBox(this.kept, () => this.save()),
      element("div", { class: "foot" }, go, this.changesButton(), this.keptLine(), element("p", { class: "note keys" }, "Keys: 1 to 9 choose, H hears, Enter goes on.")),
      this.kept.answers ? resultsOf(this.kept, () => this.save()) : "",
    ], go);
  }

  /** @returns {HTMLElement | string} a button that leads to changes of shapes, where there are any */
  changesButton() {
    if (!canSound || !book.changes.length) return "";
    const desk = {
      show: (/** @type {string} */ state, /** @type {(Node | string)[]} */ parts, /** @type {HTMLElement | null} */ focused = null) =>
        this.show(state, parts, focused),
      kept: this.kept,
      save: () => this.save(),
      back: () => this.welcome(),
    };
    return button("Practise a change of shapes", () => new ChangeDesk(desk).begin(), { class: "other" });
  }

  /** @returns {HTMLElement} where answers are kept, or that they are not */
  keptLine() {
    const text = this.store.works
      ? "Your answers stay on this device. Nothing is sent."
      : "Not kept: this browser stores nothing for this page. Copy your results before you close it.";
    return element("p", { class: "note" }, text);
  }

  /**
   * Ask the next question.
   * @returns {void}
   */
  ask() {
    hush();
    if (this.round.length >= TEN) this.round = [];
    this.number = nextQuestion(questions, this.kept, Date.now(), mayAsk(this.kept));
    this.begun = Date.now();
    const { question } = this;
    const place = answerPlace(question, book.strings, (offers) => this.answer(offers));
    this.show("asking", [
      ...this.head(true),
      element("h1", { class: "question", id: "question" }, question.ask),
      ...this.soundOf(question),
      ...place.parts,
    ], question.hear ? find(this.root, ".hears") : place.focused);
    if (question.hear) find(this.root, ".hears")?.focus();
  }

  /** @returns {import("./book.js").Question} */
  get question() {
    return questions[this.number];
  }

  /**
   * Return what is heard with a question.
   * @param {import("./book.js").Question} question
   * @returns {HTMLElement[]}
   */
  soundOf(question) {
    const chords = question.hear ?? question.sound;
    if (!chords || !canSound) return [];
    const label = question.hear ? "Hear it" : (question.before?.name || "Hear it");
    return [hearButton(label, () => hearRows([chords]), question.hear ? "asked" : "named")];
  }

  /**
   * Return the line above a question: where in the ten it stands.
   * @param {boolean} asking
   * @returns {HTMLElement[]}
   */
  head(asking) {
    const at = this.round.length + (asking ? 1 : 0);
    const line = element("p", { class: "where" }, element("span", {}, "Today’s ten"), element("span", {}, `${at} of ${TEN}`));
    return [element("header", { class: "top" }, line, tenRow(this.round, asking, TEN))];
  }

  /**
   * Take an answer, and say what is to be said of it.
   * @param {Offer[]} given
   * @returns {void}
   */
  answer(given) {
    const { question, number } = this;
    const right = question.offers.filter((each) => each.right);
    const hits = given.filter((each) => each.right).length;
    const score = Math.max(0, hits - (given.length - hits)) / right.length;
    const now = Date.now();
    const mixed = score < 1 && right.length === 1 ? mixedOf(question, right[0], given[0]) : "";
    take(this.kept, question, number, { score, mixed, now, ms: now - this.begun });
    this.save();
    this.round.push(score);
    hush();
    this.told(given, score);
  }

  /**
   * Show what is said of an answer.
   * @param {Offer[]} given
   * @param {number} score
   * @returns {void}
   */
  told(given, score) {
    const last = this.round.length >= TEN;
    const next = nextButton(last ? "See your ten" : "Next", () => (last ? this.finish() : this.ask()));
    const word = { right: "Right", half: "In part", wrong: "Not yet" }[markOf(score)];
    const isLate = this.round.length + SOONEST >= TEN;
    const comes = `This one comes back ${isLate ? "in your next ten" : "after three questions or more, in this ten or the next"}.`;
    this.show("told", [
      ...this.head(false),
      element("p", { class: "verdict", role: "status" }, sign(markOf(score)), word ?? ""),
      ...afterParts(this.question, given, score),
      score < 1 ? element("p", { class: "note" }, comes) : "",
      element("div", { class: "onward" }, next),
      element("div", { class: "foot" }, codeLine(this.kept, false)),
    ], next);
  }

  /**
   * Show how the ten went.
   * @returns {void}
   */
  finish() {
    const right = this.round.filter((score) => score >= 1).length;
    const more = nextButton("Ten more", () => this.ask());
    this.show("done", [
      ...this.head(false),
      element("h1", {}, `${right} of ${TEN} right`),
      element("p", { class: "lead" }, right === TEN ? "The next ten will ask what you have not met yet." : "What you missed comes back first."),
      resultsOf(this.kept, () => this.save()),
      element("div", { class: "foot" }, more, this.keptLine()),
    ], more);
  }

  /**
   * Choose an answer by its number; hear what is asked by H.
   * @param {KeyboardEvent} event
   * @returns {void}
   */
  key(event) {
    const target = /** @type {Element} */ (event.target);
    if (event.ctrlKey || event.metaKey || event.altKey || target.matches("input, select, summary")) return;
    if (event.key === "Escape") hush();
    if (event.key.toLowerCase() === "h") find(this.root, ".hears")?.click();
    const chosen = find(this.root, `[data-key="${CSS.escape(event.key)}"]`);
    if (this.root.dataset.state === "asking") chosen?.click();
  }
}

/**
 * Return the first chord that is asked about, as it is seen before anything is asked.
 * @returns {HTMLElement | string}
 */
function opening() {
  const first = questions.find((each) => each.before?.clock);
  return first?.before ? framed(draw({ ...first.before, moves: [] })) : "";
}

/**
 * Return which thing was given for which, for results.
 * @param {import("./book.js").Question} question
 * @param {Offer} right
 * @param {Offer | undefined} given
 * @returns {string} nothing where names say nothing
 */
function mixedOf(question, right, given) {
  const [one, other] = [nameOf(right), given ? nameOf(given) : ""];
  const plain = question.kind === "smoother" || question.kind === "distance" || question.place === "shapes";
  return plain || !other || one === other ? "" : `${one}|${other}`;
}

export const desk = new Desk(/** @type {HTMLElement} */ (document.getElementById("desk")));
desk.welcome();
