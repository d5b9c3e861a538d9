// A scene: a picture that is put in once, after which only the looks of its parts change.

import { findAll } from "../kit/element.js";
import { neighbour, oneStop, pressOrGo } from "../kit/keys.js";

const MM = 72 / 25.4; // points

/**
 * How a part looks: its role, its letters, its name, whether it is on, and where it is in mm.
 * @typedef {[string, string, string, boolean, [number, number] | []]} Look
 */

/**
 * What is shown of a scene.
 * @typedef {object} Shown
 * @property {Record<string, Look>} looks
 * @property {Record<string, string>} lines
 * @property {string[]} [open] the parts whose press leads somewhere, where not all do
 */

/**
 * A part that changes its looks, and how it stood in the picture.
 * @typedef {object} Part
 * @property {HTMLElement} each
 * @property {Element} mark
 * @property {Element} text
 * @property {string} home
 * @property {string} scale
 * @property {string} look what it looks like, as text
 */

/** @type {Look} */
const UNSEEN = ["none", "", "", false, []];

/**
 * Return the middle of a part: what lies about it may be larger on one side.
 * @param {HTMLElement} each
 * @returns {[number, number]}
 */
function middleOf(each) {
  const box = /** @type {Element} */ (each.querySelector(".hit")).getBoundingClientRect();
  return [box.left + box.width / 2, box.top + box.height / 2];
}

/** A picture whose parts can be pressed, and reached by one Tab key and the arrows. */
export class Scene {
  /**
   * @param {HTMLElement} figure where the picture is put
   * @param {string} own the beginning of the view's ids
   * @param {(part: string) => void} press told which part was pressed
   */
  constructor(figure, own, press) {
    this.figure = figure;
    this.own = own;
    this.press = press;
    /** @type {Map<string, Part>} */
    this.parts = new Map();
    /** @type {HTMLElement[]} */
    this.lines = [];
    /** @type {HTMLElement | null} */
    this.current = null;
    figure.addEventListener("click", (event) => this.pressed(event));
    figure.addEventListener("keydown", (event) => this.key(event));
  }

  /**
   * Put in another picture.
   * @param {string} svg
   * @param {string} mark the beginning of the ids of its marks
   * @param {Record<string, [string, string]>} letters colour and weight of the letters by role
   * @returns {void}
   */
  put(svg, mark, letters) {
    this.mark = this.own + mark;
    this.letters = letters;
    this.figure.innerHTML = svg.replaceAll(mark, this.mark);
    const found = findAll(this.figure, "[data-part]").map((each) => this.partOf(each));
    this.parts = new Map(found.map((part) => [part.each.dataset.part ?? "", part]));
    this.lines = findAll(this.figure, "[data-line]");
    this.current = null;
  }

  /**
   * Return a part as it stands in the picture.
   * @param {HTMLElement} each
   * @returns {Part}
   */
  partOf(each) {
    if (!each.dataset.press) each.setAttribute("aria-hidden", "true");
    const mark = /** @type {Element} */ (each.querySelector("use"));
    const text = /** @type {Element} */ (each.querySelector("text"));
    const [home, scale] = [each, mark].map((one) => one.getAttribute("transform") ?? "");
    return { each, mark, text, home, scale, look: "" };
  }

  /**
   * Give parts and lines the looks that they have now.
   * @param {Shown} shown
   * @param {string} title
   * @returns {void}
   */
  show(shown, title) {
    for (const [id, part] of this.parts) {
      const look = shown.looks[id] ?? UNSEEN;
      const text = JSON.stringify(look);
      if (part.look !== text) this.dress(part, look);
      part.look = text;
      if (part.each.dataset.press) shut(part.each, shown.open !== undefined && !shown.open.includes(id));
    }
    for (const line of this.lines) line.setAttribute("d", shown.lines[line.dataset.line ?? ""] ?? "");
    this.figure.querySelector("svg")?.setAttribute("aria-label", title);
    this.reach();
  }

  /**
   * Give one part its look.
   * @param {Part} part
   * @param {Look} look
   * @returns {void}
   */
  dress(part, [role, text, name, on, at]) {
    const letters = this.letters ?? {};
    const [colour, weight] = letters[role] ?? letters[""];
    const id = `${this.mark}${role}`;
    const hasOwnSize = this.figure.querySelector(`[id="${id}"][data-own]`);
    const [x, y] = at.map((mm) => mm * MM);
    part.each.setAttribute("class", role);
    part.each.setAttribute("transform", at.length ? `translate(${x} ${y})` : part.home);
    part.mark.setAttribute("href", `#${id}`);
    part.mark.setAttribute("transform", hasOwnSize ? "" : part.scale);
    part.text.textContent = text;
    part.text.setAttribute("fill", colour);
    part.text.setAttribute("font-weight", weight);
    if (part.each.dataset.press) this.name(part.each, name, on);
  }

  /**
   * Name a part that can be pressed; what has no name cannot be pressed at the moment.
   * @param {HTMLElement} each
   * @param {string} name
   * @param {boolean} on
   * @returns {void}
   */
  name(each, name, on) {
    each.style.display = name ? "" : "none";
    each.setAttribute("role", "button");
    each.setAttribute("aria-label", name);
    each.setAttribute("aria-pressed", String(on));
  }

  /** @returns {HTMLElement[]} the parts that can be pressed */
  get pressable() {
    return [...this.parts.values()]
      .map((part) => part.each)
      .filter((each) => each.dataset.press && each.style.display !== "none");
  }

  /**
   * Let the Tab key stop at one part: the one that is wanted, else the same as before.
   * @param {HTMLElement | null} [wanted] is given the focus too
   * @returns {void}
   */
  reach(wanted) {
    const all = this.pressable;
    if (wanted) this.current = wanted;
    if (!this.current || !all.includes(this.current)) {
      const on = all.find((each) => each.getAttribute("aria-pressed") === "true");
      this.current = on ?? all[0];
    }
    oneStop(all, this.current);
    wanted?.focus();
  }

  /**
   * Press the part at which something happened.
   * @param {Event} event
   * @returns {void}
   */
  pressed(event) {
    const part = partAt(event);
    if (!part) return;
    this.reach(part);
    this.press(part.dataset.part ?? "");
  }

  /**
   * Do what a key means on a part.
   * @param {KeyboardEvent} event
   * @returns {void}
   */
  key(event) {
    const part = partAt(event);
    if (!part) return;
    pressOrGo(
      event,
      () => this.press(part.dataset.part ?? ""),
      (way) => this.reach(neighbour(part, this.pressable, way, middleOf)),
    );
  }
}

/**
 * Say whether a press of a part leads nowhere at the moment; it can still be reached, and says so.
 * @param {HTMLElement} each
 * @param {boolean} off
 * @returns {void}
 */
function shut(each, off) {
  if (off) each.setAttribute("aria-disabled", "true");
  else each.removeAttribute("aria-disabled");
}

/**
 * Return the part at which something happened, where it can be pressed.
 * @param {Event} event
 * @returns {HTMLElement | null}
 */
function partAt(event) {
  return /** @type {Element} */ (event.target).closest("[data-press]");
}
