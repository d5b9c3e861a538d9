// Where a question is answered: on buttons, on the notes of the clock, or under the strings.

import { button, element, findAll } from "../kit/element.js";
import { draw, drawClock, drawn, drawShape } from "./draw.js";

const WIDE = 64; // pixels from string to string
const SMALL = 26;
const LONG = 13; // a longer label needs a line of its own
const MOST_KEYS = 9;
const TURNS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

/** @typedef {import("./book.js").Offer} Offer */
/** @typedef {import("./book.js").Question} Question */

/**
 * What is shown to answer on, and what has the focus first.
 * @typedef {object} Place
 * @property {HTMLElement[]} parts
 * @property {HTMLElement | null} focused
 */

/**
 * Make the place where a question is answered.
 * @param {Question} question
 * @param {string[]} strings
 * @param {(offers: Offer[]) => void} answer
 * @returns {Place}
 */
export function answerPlace(question, strings, answer) {
  if (question.place === "clock") return clockPlace(question, answer);
  if (question.place === "strings") return stringsPlace(question, strings, answer);
  return listPlace(question, answer);
}

/**
 * Return a key by which an answer is chosen.
 * @param {number} place
 * @returns {Record<string, string>}
 */
function keyed(place) {
  return place < MOST_KEYS ? { "data-key": String(place + 1), "aria-keyshortcuts": String(place + 1) } : {};
}

/**
 * Make a list of answers, with what is seen above it.
 * @param {Question} question
 * @param {(offers: Offer[]) => void} answer
 * @returns {Place}
 */
function listPlace(question, answer) {
  const pictured = question.place === "shapes" || question.before?.ways;
  const wide = question.offers.some(({ say }) => [...say].length > LONG);
  const buttons = question.offers.map((offer, n) => {
    const made = button("", () => answer([offer]), { class: "offer", ...keyed(n) });
    const figures = question.before?.ways?.[n] ?? (question.place === "shapes" ? [offer.figure] : []);
    const small = figures.flatMap((each) => (each ? [plainShape(each)] : []));
    const say = element("span", { class: "say" }, offer.say);
    const pictures = small.length ? [element("span", { class: "small" }, ...joined(small))] : [];
    made.append(...(small.length > 1 ? [say, ...pictures] : [...pictures, say]));
    return made;
  });
  const looks = [wide ? "wide" : "", pictured ? "pictured" : "", question.before?.ways ? "ways" : ""];
  const list = element("div", { class: ["offers", ...looks].join(" ").trim() });
  list.setAttribute("role", "group");
  list.setAttribute("aria-labelledby", "question");
  list.append(...buttons);
  const seen = question.before && !question.before.ways ? [framed(draw(question.before, { wide: 52 }))] : [];
  return { parts: [...seen, list], focused: buttons[0] };
}

/**
 * Put an arrow between pictures.
 * @param {SVGElement[]} pictures
 * @returns {Node[]}
 */
export function joined(pictures) {
  const path = drawn("path", { d: "M2 12H20M14 6 20 12 14 18" });
  const arrow = drawn("svg", { class: "then", viewBox: "0 0 24 24", "aria-hidden": "true" }, path);
  return pictures.flatMap((each, n) => (n ? [arrow, each] : [each]));
}

/**
 * Draw a small shape whose marks say nothing of what its notes do.
 * @param {import("./book.js").Figure} figure
 * @returns {SVGElement}
 */
function plainShape(figure) {
  const marks = (figure.marks ?? []).map((each) => /** @type {[string, string]} */ (each && ["note", ""]));
  return drawShape({ frets: figure.frets, marks }, { wide: SMALL, letters: false });
}

/**
 * Put a picture in its frame.
 * @param {SVGElement} svg
 * @returns {HTMLElement}
 */
export function framed(svg) {
  return element("div", { class: "seen" }, /** @type {Node} */ (svg));
}

/**
 * Make the clock: one note answers where one is asked for, else all are chosen and then checked.
 * @param {Question} question
 * @param {(offers: Offer[]) => void} answer
 * @returns {Place}
 */
function clockPlace(question, answer) {
  const many = question.offers.filter((each) => each.right).length;
  const names = question.offers.map((each) => each.say);
  const svg = asGroup(drawClock(question.before ?? {}, { names }));
  /** @type {Set<Offer>} */
  const chosen = new Set();
  const check = button(toPress(0, many), () => answer([...chosen]), { class: "next check" });
  check.disabled = true;
  const press = (/** @type {Offer} */ offer, /** @type {Element} */ mark) => {
    if (many === 1) return answer([offer]);
    const on = !chosen.has(offer);
    if (on) chosen.add(offer);
    else chosen.delete(offer);
    mark.setAttribute("aria-pressed", String(on));
    mark.classList.toggle("chosen", on);
    check.disabled = chosen.size !== many;
    check.textContent = toPress(chosen.size, many);
    return undefined;
  };
  const marks = [...svg.querySelectorAll(".mark")].slice(0, 12);
  marks.forEach((mark, n) => pressable(mark, question.offers[n], many, press));
  svg.addEventListener("keydown", (event) => turn(marks, event));
  const told = many > 1 ? [check] : [];
  return { parts: [framed(svg), ...told], focused: /** @type {any} */ (marks[0]) };
}

/**
 * Say what to do next, by how many notes are pressed.
 * @param {number} pressed
 * @param {number} many how many are asked for
 * @returns {string}
 */
function toPress(pressed, many) {
  if (pressed === many) return "Check";
  if (!pressed) return `Press ${many} notes`;
  return `${pressed} pressed: ${pressed < many ? `press ${many - pressed} more` : `take ${pressed - many} back`}`;
}

/**
 * Return a picture as a group that the question names.
 * @template {Element} Picture
 * @param {Picture} svg
 * @returns {Picture}
 */
function asGroup(svg) {
  svg.removeAttribute("aria-hidden");
  svg.setAttribute("role", "group");
  svg.setAttribute("aria-labelledby", "question");
  return svg;
}

/**
 * Let a note of the clock be pressed.
 * @param {Element} mark
 * @param {Offer} offer
 * @param {number} many how many notes are asked for
 * @param {(offer: Offer, mark: Element) => void} press
 * @returns {void}
 */
function pressable(mark, offer, many, press) {
  mark.append(drawn("circle", { class: "hit", r: 27 }));
  mark.setAttribute("role", "button");
  mark.setAttribute("tabindex", offer.at === 0 ? "0" : "-1");
  const given = mark.querySelector("use") ? ", given" : "";
  mark.setAttribute("aria-label", `${spoken(offer.say)}${given}`);
  if (many > 1) mark.setAttribute("aria-pressed", "false");
  mark.addEventListener("click", () => press(offer, mark));
  mark.addEventListener("keydown", (event) => {
    const { key } = /** @type {KeyboardEvent} */ (event);
    if (key !== "Enter" && key !== " ") return;
    event.preventDefault();
    press(offer, mark);
  });
}

/**
 * Return a note's name for the ear.
 * @param {string} name
 * @returns {string}
 */
export function spoken(name) {
  return name.replaceAll("♭", " flat").replaceAll("♯", " sharp").replaceAll("𝄫", " double flat").replaceAll("𝄪", " double sharp");
}

/**
 * Go round the clock by arrow keys.
 * @param {Element[]} marks
 * @param {Event} event
 * @returns {void}
 */
function turn(marks, event) {
  const by = /** @type {Record<string, number>} */ (TURNS)[/** @type {KeyboardEvent} */ (event).key];
  const place = marks.findIndex((each) => each === document.activeElement);
  if (!by || place < 0) return;
  event.preventDefault();
  marks[place].setAttribute("tabindex", "-1");
  const next = /** @type {HTMLElement} */ (marks[(place + by + 12) % 12]);
  next.setAttribute("tabindex", "0");
  next.focus();
}

/**
 * Make a shape with a button under each string.
 * @param {Question} question
 * @param {string[]} strings
 * @param {(offers: Offer[]) => void} answer
 * @returns {Place}
 */
function stringsPlace(question, strings, answer) {
  const neck = drawShape(question.before ?? {}, { wide: WIDE });
  const cells = strings.map((name, string) => {
    const offer = question.offers.find((each) => each.at === string);
    if (!offer) return element("span", { class: "no-string" });
    const n = question.offers.indexOf(offer);
    const made = button("", () => answer([offer]), { class: "offer string", ...keyed(n) });
    made.append(element("span", { class: "say" }, name), element("span", { class: "unit" }, "string"));
    return made;
  });
  const row = element("div", { class: `under strings-${strings.length}`, role: "group", "aria-labelledby": "question" }, ...cells);
  const frame = element("div", { class: "seen neck" }, /** @type {Node} */ (neck), row);
  const focused = /** @type {HTMLElement | null} */ (findAll(row, "button")[0] ?? null);
  return { parts: [frame], focused };
}
