// What is shown after an answer: the reason first, then yours beside the right one, to see and hear.

import { element } from "../kit/element.js";
import { canSound, hearRows } from "./chords.js";
import { draw, drawShape } from "./draw.js";
import { hearButton, sign } from "./parts.js";
import { framed, joined } from "./places.js";

/** @typedef {import("./book.js").Offer} Offer */
/** @typedef {import("./book.js").Question} Question */

/**
 * Return what is said and shown after an answer.
 * @param {Question} question
 * @param {Offer[]} given
 * @param {number} score
 * @returns {(HTMLElement | string)[]}
 */
export function afterParts(question, given, score) {
  const right = question.offers.filter((each) => each.right);
  const parts = [element("h1", { class: "reason", id: "question" }, question.why)];
  if (score < 1) parts.push(element("p", { class: "yours" }, saidOf(given, right)));
  const pair = score < 1 && right.length === 1 && given[0]?.figure && right[0].figure;
  if (pair) parts.push(sideBySide(question, given[0], right[0]));
  else parts.push(...oneFigure(question, given, right, score));
  return parts;
}

/**
 * Return what was chosen, in a sentence, and why it is not right.
 * @param {Offer[]} given
 * @param {Offer[]} right
 * @returns {string}
 */
function saidOf(given, right) {
  if (right.length === 1) {
    const [{ say, why = "", at, figure }] = given;
    const what = at !== undefined && figure ? `the ${say} string` : say;
    return `You chose ${what}. ${why}`.trim();
  }
  const hits = given.filter((each) => each.right).map((each) => each.say);
  const misses = given.filter((each) => !each.right).map((each) => each.say);
  const missing = right.filter((each) => !given.includes(each)).map((each) => each.say);
  const lists = [
    hits.length ? `${hits.length} of ${right.length}: ${hits.join(", ")}.` : `None of the ${right.length}.`,
    misses.length ? `Not ${misses.join(" or ")}.` : "",
    missing.length ? `Missing: ${missing.join(", ")}.` : "",
  ];
  return lists.filter((each) => each).join(" ");
}

/**
 * Show two answers side by side, each to hear, and both in turn.
 * @param {Question} question
 * @param {Offer} yours
 * @param {Offer} right
 * @returns {HTMLElement}
 */
function sideBySide(question, yours, right) {
  const rows = [yours, right].map((each) => rowOf(question, each));
  const [mine, its] = [yours, right].map((each, n) => {
    const kind = n ? "right" : "wrong";
    const head = element("p", { class: "whose" }, sign(kind), n ? "Right" : "Yours");
    const figure = framed(draw(each.figure ?? {}, { wide: 40, alt: `${n ? "right" : "yours"}: ${each.say}` }));
    const hears = canSound && rows[n].length ? [hearButton(each.name ?? each.say, () => hearRows([rows[n]]))] : [];
    return element("div", { class: "side" }, head, figure, ...hears);
  });
  const both = canSound ? [hearButton("Hear yours, then right", () => hearRows(rows), "both")] : [];
  return element("div", {}, element("div", { class: "sides" }, mine, its), ...both);
}

/**
 * Return what an answer sounds: after what came before it, where that was heard.
 * @param {Question} question
 * @param {Offer} offer
 * @returns {number[][]}
 */
function rowOf(question, offer) {
  const first = question.hear?.length === 2 && offer.sound ? [question.hear[0]] : [];
  return [...first, ...(offer.right && question.hear ? question.hear.slice(1) : (offer.sound ?? []))];
}

/**
 * Show the right answer alone, with corners round what was chosen on the clock.
 * @param {Question} question
 * @param {Offer[]} given
 * @param {Offer[]} right
 * @param {number} score
 * @returns {HTMLElement[]}
 */
function oneFigure(question, given, right, score) {
  const chosen = right[0].figure ?? question.after;
  const guess = score < 1 && question.place === "clock" ? given.map(({ at = 0 }) => at) : [];
  const found = chosen && !chosen.ways ? [framed(draw(chosen, { wide: 52, guess, alt: "the right answer" }))] : [];
  const notes = guess.length > 1 ? "notes" : "note";
  if (guess.length) found.push(element("p", { class: "key" }, `Corners mark the ${notes} that you pressed.`));
  const rows = question.hear ?? right[0].sound ?? question.sound;
  if (canSound && rows) found.push(hearButton("Hear it", () => hearRows([rows])));
  if (question.before?.ways) found.push(waysOf(question));
  return found;
}

/**
 * Show the ways that could be chosen, the best with its mark.
 * @param {Question} question
 * @returns {HTMLElement}
 */
function waysOf(question) {
  const rows = (question.before?.ways ?? []).map((pair, n) => {
    const offer = question.offers[n];
    const head = element("p", { class: "whose" }, ...(offer.right ? [sign("right")] : []), `Way ${offer.say}`);
    const pictures = pair.map((each) => drawShape(each, { wide: 30, letters: false }));
    return element("div", { class: "way" }, head, element("div", { class: "seen pair" }, ...joined(pictures)));
  });
  return element("div", { class: "ways" }, ...rows);
}
