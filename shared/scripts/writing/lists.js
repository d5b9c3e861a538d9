// What is listed below the text: statements, minutes, what was built; and how far work is.

import { addressOf } from "../kit/clip.js";
import { button, element, say } from "../kit/element.js";
import { isWrong } from "./area.js";

/** @type {Record<string, string>} */
const HOW = { fails: "The fact", "cannot be used": "The rule", proved: "Proof" };
const KEPT_MS = 600000;

/**
 * Put something in a box, unless it was made of the same before.
 * @param {HTMLElement} box
 * @param {unknown} given what it is made of
 * @param {() => void} put
 * @returns {void}
 */
function once(box, given, put) {
  const key = JSON.stringify(given);
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  put();
}

/**
 * Return a statement as an item of the list.
 * @param {import("./area.js").Verdict} verdict
 * @param {(line: number) => void} go
 * @returns {HTMLElement}
 */
function itemOf(verdict, go) {
  const [line, , kind, , said, how, mend, text, caret] = verdict;
  const wrong = isWrong(verdict);
  const where = button(`line ${line}`, () => go(line), { class: "hk-line" });
  const words = element("div", {}, element("p", {}, element("b", {}, kind), " ", said));
  if (how) words.append(element("p", { class: "hk-how" }, `${HOW[kind]}: ${how}`));
  if (mend) words.append(element("p", { class: "hk-how" }, `Try: ${mend}`));
  if (wrong && text) words.append(element("pre", {}, `${text}\n${" ".repeat(caret)}^`));
  return element("li", { class: wrong ? "wrong" : "proved" }, where, words);
}

/**
 * List the statements, what has to be mended first.
 * @param {HTMLElement} box
 * @param {string} summary
 * @param {import("./area.js").Verdict[]} verdicts
 * @param {(line: number) => void} go
 * @returns {void}
 */
export function showStatements(box, summary, verdicts, go) {
  once(box, [summary, verdicts], () => {
    // What is read out has to stay where it is.
    if (!box.firstChild) {
      const told = { role: "status", "aria-live": "polite", class: "hk-summary" };
      box.append(element("h3", {}, "Statements"), element("p", told), element("ol"));
    }
    const [, told, list] = box.children;
    say(told, summary);
    const wrong = verdicts.filter(isWrong);
    const proved = verdicts.filter((each) => !isWrong(each));
    list.replaceChildren(...[...wrong, ...proved].map((each) => itemOf(each, go)));
  });
}

/**
 * What stands at the side of a lesson.
 * @typedef {object} Sides
 * @property {[string, string, number][]} [minutes] of each section: title, minutes, share of all
 * @property {string} [total]
 * @property {[string, string][]} [cautions]
 * @property {string[]} [rights]
 * @property {string[]} [doubts]
 * @property {[number, string, string][]} [claims] line, sentence, the nearest statement
 */

/**
 * Return one section of the sides, or none where there is nothing in it.
 * @param {string} title
 * @param {HTMLElement[]} inside
 * @returns {HTMLElement[]}
 */
function sideOf(title, inside) {
  return inside.length ? [element("section", {}, element("h3", {}, title), ...inside)] : [];
}

/**
 * Return paragraphs.
 * @param {string[]} [lines]
 * @returns {HTMLElement[]}
 */
function paragraphs(lines = []) {
  return lines.map((each) => element("p", {}, each));
}

/**
 * Return a section's minutes as a row, with a bar as long as its share.
 * @param {[string, string, number]} section
 * @returns {HTMLElement}
 */
function minutesRow([title, spent, share]) {
  const bar = element("i");
  bar.style.width = `${Math.max(share * 100, share ? 1 : 0)}%`;
  const cells = [element("td", {}, spent), element("td", { class: "hk-share" }, bar)];
  return element("tr", {}, element("th", { scope: "row" }, title), ...cells);
}

/**
 * List minutes, cautions, rights, and doubts about the tune.
 * @param {HTMLElement} box
 * @param {Sides} sides
 * @returns {void}
 */
export function showSides(box, { minutes, total, cautions = [], rights, doubts, claims = [] }) {
  const table = minutes ? [element("table", {}, ...minutes.map(minutesRow))] : [];
  const all = minutes && total ? paragraphs([`All: ${total}`]) : [];
  const care = cautions.map(([shapes, text]) => element("p", {}, element("b", {}, shapes), ` ${text}`));
  const said = claims.flatMap(([line, text, call]) => [
    element("p", {}, element("b", {}, `line ${line}`), ` ${text}`),
    element("p", { class: "hk-how" }, `Try: {{ ${call} }}`),
  ]);
  box.replaceChildren(
    ...sideOf("Minutes", [...all, ...table]),
    ...sideOf("Said, not proved", said),
    ...sideOf("Take care", care),
    ...sideOf("Rights", paragraphs(rights)),
    ...sideOf("Notes on the tune", paragraphs(doubts)),
  );
}

/**
 * List what was built, by groups.
 * @param {HTMLElement} box
 * @param {[string, string][]} results each file with its group
 * @param {string} note
 * @param {(name: string) => void} open
 * @returns {void}
 */
export function showResults(box, results, note, open) {
  once(box, [results, note], () => {
    const list = element("dl");
    for (const group of new Set(results.map((each) => each[1]))) {
      const buttons = results
        .filter((each) => each[1] === group)
        .map(([name]) => button(name, () => open(name), { class: "hk-open", "data-open": name }));
      list.append(element("dt", {}, group), element("dd", {}, ...buttons));
    }
    const parts = [element("h3", {}, "What was built"), element("p", {}, note), list];
    box.replaceChildren(...(results.length ? parts : []));
  });
}

/**
 * Open what was built: a page or a sheet beside the notebook; a sound is played here.
 * @param {HTMLElement} box
 * @param {{opened: string, kind: string}} what its name, and its kind as the web names it
 * @param {BlobPart} data
 * @returns {void}
 */
export function openResult(box, { opened: name, kind }, data) {
  const address = addressOf(data, kind);
  setTimeout(() => URL.revokeObjectURL(address), KEPT_MS);
  if (kind.startsWith("audio/") && kind !== "audio/midi") {
    box.querySelector("audio")?.remove();
    const audio = element("audio", { controls: "", "aria-label": name, src: address });
    box.append(audio);
    audio.play().catch(() => {});
    return;
  }
  const link = element("a", { href: address, target: "_blank", rel: "noopener" });
  if (!/html|pdf|text|svg/.test(kind)) link.download = name.split("/").pop() ?? "";
  link.click();
}
