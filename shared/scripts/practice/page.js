// A page of questions: ten a day, by mouse, finger or keys; nothing goes on by itself.

import { button, element, find, findAll } from "../kit/element.js";
import { book } from "./book.js";
import { canSound, hearRows, hush } from "./chords.js";
import { codeOf } from "./code.js";
import { dayOf, mixedUp, Store } from "./memory.js";
import { copy, hearButton, markOf, nextButton, sign, tenRow } from "./parts.js";
import { nameOf, nextQuestion, take, TEN } from "./queue.js";
import { draw } from "./draw.js";
import { answerPlace, framed } from "./places.js";
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
    this.store.write(this.kept);
    this.number = -1;
    this.begun = 0;
    /** @type {number[]} the scores of this round of ten */
    this.round = this.scoresToday().slice(-(this.scoresToday().length % TEN) || Infinity);
    document.addEventListener("keydown", (event) => this.key(event));
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
    const go = nextButton(again ? "Ten more" : going ? "Go on" : "Begin today’s ten", () => this.ask());
    const about = this.kept.answers
      ? `You have answered ${said(this.kept.answers, "question")} so far.`
      : "Ten questions, about five minutes. Any of them may come back until you know it.";
    this.show("welcome", [
      element("p", { class: "about" }, "Practice"),
      element("h1", {}, book.title),
      element("p", { class: "lead" }, about),
      canSound ? "" : element("p", {}, "This browser makes no sound: nothing is asked by ear."),
      this.kept.answers ? "" : opening(),
      element("div", { class: "foot" }, go, this.keptLine(), element("p", { class: "note keys" }, "Keys: 1 to 9 choose, H hears, Enter goes on.")),
      this.kept.answers ? this.results() : "",
    ], go);
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
    this.number = nextQuestion(questions, this.kept, Date.now());
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
    this.store.write(this.kept);
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
    const comes = last ? "This one comes back in your next ten." : "This one comes back in three to six questions.";
    this.show("told", [
      ...this.head(false),
      element("p", { class: "verdict", role: "status" }, sign(markOf(score)), word ?? ""),
      ...afterParts(this.question, given, score),
      score < 1 ? element("p", { class: "note" }, comes) : "",
      element("div", { class: "foot" }, next, this.codeLine(false)),
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
      this.results(),
      element("div", { class: "foot" }, more, this.keptLine()),
    ], more);
  }

  /**
   * Return the code so far, with a button that copies it.
   * @param {boolean} open whether the code is seen before it is asked for
   * @returns {HTMLElement}
   */
  codeLine(open) {
    const shown = element("b", { class: "code" }, codeOf(this.kept, book));
    shown.hidden = !open;
    const take = () => {
      shown.hidden = false;
      copy(copies, shown.textContent ?? "", shown);
    };
    const copies = button("Copy for teacher", take, { class: "plain" });
    const rows = Object.values(this.kept.kinds);
    const [asked, right] = [0, 1].map((n) => rows.reduce((all, row) => all + row[n], 0));
    const line = `Results so far: ${trimmed(right)} of ${asked} right`;
    return element("div", { class: "results-line" }, element("p", {}, open ? "Your results as a code" : line, shown), copies);
  }

  /** @returns {HTMLElement} all results, the name that goes with them, and their code */
  results() {
    const rows = Object.entries(this.kept.kinds).map(([kind, [asked, right]]) =>
      element("tr", {}, element("th", { scope: "row" }, book.kinds[kind] ?? kind), element("td", {}, `${trimmed(right)} of ${asked}`)),
    );
    const mixed = mixedUp(this.kept).slice(0, 3);
    const box = element("section", { class: "results" },
      element("h2", {}, "Results"),
      element("table", {}, element("thead", {}, element("tr", {}, element("th", { scope: "col" }, "What"), element("th", { scope: "col" }, "Right"))), element("tbody", {}, ...rows)),
      mixed.length ? element("p", {}, `Most often taken for one another: ${mixed.map(({ right, given }) => `${given} for ${right}`).join(", ")}.`) : "",
      element("p", {}, this.kept.ms < 60_000 ? "Less than a minute in all." : `${said(Math.round(this.kept.ms / 60_000), "minute")} in all.`),
      this.nameField(),
      this.codeLine(true),
      element("p", { class: "note" }, `In a table of results this page is called ${book.mark}.`),
    );
    return box;
  }

  /** @returns {HTMLElement} */
  nameField() {
    const field = element("input", { id: "name", maxlength: "20", autocomplete: "given-name", value: this.kept.name });
    field.addEventListener("input", () => {
      this.kept.name = field.value;
      this.store.write(this.kept);
      for (const line of findAll(this.root, ".results-line")) line.replaceWith(this.codeLine(true));
    });
    return element("p", { class: "name" }, element("label", { for: "name" }, "Your name, for your teacher"), field);
  }

  /**
   * Choose an answer by its number; hear what is asked by H.
   * @param {KeyboardEvent} event
   * @returns {void}
   */
  key(event) {
    const target = /** @type {Element} */ (event.target);
    if (event.ctrlKey || event.metaKey || event.altKey || target.matches("input")) return;
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

/**
 * Return a number with what is counted.
 * @param {number} number
 * @param {string} thing
 * @returns {string}
 */
function said(number, thing) {
  return `${number} ${thing}${number === 1 ? "" : "s"}`;
}

/**
 * Return a number with one place, where it needs one.
 * @param {number} number
 * @returns {string}
 */
function trimmed(number) {
  return String(Math.round(number * 10) / 10);
}

export const desk = new Desk(/** @type {HTMLElement} */ (document.getElementById("desk")));
desk.welcome();
