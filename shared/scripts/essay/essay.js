// An essay that asks: one figure stays in view, the text goes on when a question is answered.

import { at, element, say } from "../kit/element.js";
import { hear, keepKeys, ownIds } from "../kit/widget.js";
import { EssayFigure } from "./figure.js";
import { SectionView, TOLD, paragraphs } from "./section.js";
import { Sounds } from "./sounds.js";

/**
 * An essay, as it is sent.
 * @typedef {{name: string, title: string, clock: string, neck: string, mark: string,
 *   letters: Record<string, [string, string]>, sections: import("./section.js").Told[], end: string[]}} Data
 */

const NARROW = 900;
const LOW = 640;
const TALL = 372;

/**
 * Return what was answered on another day; nothing where the browser keeps nothing.
 * @param {string} name
 * @returns {(number | undefined)[]}
 */
function readGiven(name) {
  try {
    const kept = JSON.parse(localStorage.getItem(`harmonykit-essay-${name}`) ?? "[]");
    return Array.isArray(kept) ? kept.map((each) => (typeof each === "number" ? each : undefined)) : [];
  } catch {
    return [];
  }
}

/**
 * Keep what was answered.
 * @param {string} name
 * @param {(number | undefined)[]} given
 * @returns {void}
 */
function keepGiven(name, given) {
  try {
    localStorage.setItem(`harmonykit-essay-${name}`, JSON.stringify(given.map((each) => each ?? null)));
  } catch {
    // A browser that keeps nothing still asks.
  }
}

/** An essay on a page. */
export class EssayPage {
  /**
   * @param {Data} data
   * @param {(place: number, by: HTMLElement) => void} hearing what is done to hear a sound
   */
  constructor(data, hearing) {
    this.data = data;
    this.hearing = hearing;
    const valid = (/** @type {number | undefined} */ each, /** @type {number} */ place) =>
      each !== undefined && each >= TOLD && each < (data.sections[place]?.choices.length ?? 0);
    this.given = readGiven(data.name).map((each, place) => (valid(each, place) ? each : undefined));
    const open = data.sections.findIndex((_, place) => this.given[place] === undefined);
    this.last = open < 0 ? data.sections.length - 1 : open;
    this.seen = this.last;
    this.figure = new EssayFigure(data, {
      own: ownIds("hke"), press: (part) => this.pressed(part), hear: hearing,
    });
    this.views = data.sections.map((told, place) => new SectionView(told, this.deskOf(place)));
    this.end = element("div", { class: "hk-end" }, ...paragraphs(data.end));
    this.text = element("div", { class: "hk-text-of" });
    const label = { class: "harmonykit-panel hk-essay", role: "group", "aria-label": data.title };
    this.root = element("div", label, this.figure.root, this.text);
    this.root.addEventListener("click", (event) => this.clicked(event));
    keepKeys(this.root);
    this.figure.turn(data.sections[this.seen].side);
    this.show();
  }

  /**
   * @param {number} place
   * @returns {import("./section.js").SectionDesk}
   */
  deskOf(place) {
    const { sections } = this.data;
    const after = sections[place + 1];
    return {
      answer: (choice) => this.answer(place, choice),
      again: () => this.again(place),
      look: () => this.look(place),
      next: () => this.next(),
      progress: `${place + 1} of ${sections.length}`,
      onward: after ? `Go on: ${after.heading}` : "",
    };
  }

  /**
   * Hear a chord of the text.
   * @param {Event} event
   * @returns {void}
   */
  clicked(event) {
    const sound = at(event, ".hk-text-of [data-hear]");
    if (sound) this.hearing(Number(sound.dataset.hear), sound);
  }

  /**
   * Show all as it stands.
   * @returns {void}
   */
  show() {
    const open = this.views.slice(0, this.last + 1);
    open.forEach((view, place) => view.show(this.given[place], place === this.last, place === this.seen));
    const done = this.last === this.views.length - 1 && this.given[this.last] !== undefined;
    const roots = [...open.map((view) => view.root), ...(done ? [this.end] : [])];
    if (roots.length !== this.text.childElementCount) this.text.replaceChildren(...roots);
    this.showFigure();
  }

  /**
   * Let the figure show the section in hand, and no other.
   * @returns {void}
   */
  showFigure() {
    const told = this.data.sections[this.seen];
    const given = this.given[this.seen];
    const guess = given !== undefined && given >= 0 && given !== told.right ? [told.choices[given].beside] : [];
    if (given === undefined) this.figure.show(told.asked, []);
    else this.figure.show(told.told, [told.truth, ...guess]);
    this.figure.compute(told.code, given === undefined ? "" : told.prints);
    this.root.dataset.seen = String(this.seen + 1);
    this.root.dataset.given = given === undefined ? "" : String(given);
  }

  /**
   * Take an answer.
   * @param {number} place
   * @param {number} choice
   * @returns {void}
   */
  answer(place, choice) {
    this.given[place] = choice;
    this.seen = place;
    keepGiven(this.data.name, this.given);
    this.show();
    this.views[place].reach();
  }

  /**
   * Take what was pressed on the figure as an answer, or say why it is none.
   * @param {string} part
   * @returns {void}
   */
  pressed(part) {
    const told = this.data.sections[this.seen];
    const choice = told.choices.findIndex((each) => each.parts.includes(part));
    const name = this.figure.nameOf(part);
    if (this.given[this.seen] !== undefined) say(this.figure.said, `${name}. ${told.told.facts}`);
    else if (choice >= 0) this.answer(this.seen, choice);
    else if (told.choices.some((each) => each.parts.length)) say(this.figure.said, `${name}: it is not one of the choices.`);
    else say(this.figure.said, `${name}. Choose your answer below the question.`);
  }

  /**
   * Ask a section again.
   * @param {number} place
   * @returns {void}
   */
  again(place) {
    delete this.given[place];
    this.look(place);
    this.views[place].reach();
  }

  /**
   * Let the figure show a section.
   * @param {number} place
   * @returns {void}
   */
  look(place) {
    this.seen = place;
    this.figure.turn(this.data.sections[place].side);
    this.show();
  }

  /**
   * Go on to the next section.
   * @returns {void}
   */
  next() {
    this.last = Math.min(this.last + 1, this.views.length - 1);
    this.look(this.last);
    const view = this.views[this.last];
    view.reach();
    this.root.style.setProperty("--high", `${this.figure.root.offsetHeight}px`);
    view.root.scrollIntoView({ block: "start" });
  }

  /**
   * Fit the figure to the room that there is; it is pinned where the window is high enough.
   * @returns {void}
   */
  fit() {
    const scroller = this.root.closest(".jp-WindowedPanel-outer");
    const high = scroller ? scroller.clientHeight : innerHeight;
    const tall = Math.min(TALL, 0.48 * high);
    this.root.classList.toggle("hk-narrow", this.root.clientWidth < NARROW);
    this.root.classList.toggle("hk-free", innerHeight < LOW);
    this.root.style.setProperty("--tall", `${Math.round(tall)}px`);
  }
}

/**
 * Show an essay in a notebook.
 * @param {{model: import("../kit/widget.js").Model, el: HTMLElement}} given
 * @returns {() => void} ends it
 */
function render({ model, el }) {
  const sounds = new Sounds(model);
  const page = new EssayPage(model.get("essay"), (place, by) => sounds.hear(place, by));
  sounds.say = (words) => say(page.figure.said, words);
  page.root.append(sounds.clip.audio);
  el.append(page.root);
  const watch = new ResizeObserver(() => page.fit());
  watch.observe(el);
  page.fit();
  const end = hear(sounds.model, [["msg:custom", (message, buffers) => sounds.take(message, buffers)]]);
  return () => {
    end();
    watch.disconnect();
    sounds.clip.forget();
  };
}

export default { render };
