// Results on the page: a table, the name that goes with them, and the code that is sent back.

import { button, element, findAll } from "../kit/element.js";
import { book } from "./book.js";
import { codeOf } from "./code.js";
import { mixedUp } from "./memory.js";
import { copy } from "./parts.js";

/** @typedef {import("./memory.js").Kept} Kept */

/**
 * Return a number with what is counted.
 * @param {number} number
 * @param {string} thing
 * @returns {string}
 */
export function said(number, thing) {
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

/**
 * Return the code so far, with a button that copies it.
 * @param {Kept} kept
 * @param {boolean} open whether the code is seen before it is asked for
 * @returns {HTMLElement}
 */
export function codeLine(kept, open) {
  const shown = element("b", { class: "code" }, codeOf(kept, book));
  shown.hidden = !open;
  const take = () => {
    shown.hidden = false;
    copy(copies, shown.textContent ?? "", shown);
  };
  const copies = button("Copy for teacher", take, { class: "plain" });
  const rows = Object.values(kept.kinds);
  const [asked, right] = [0, 1].map((n) => rows.reduce((all, row) => all + row[n], 0));
  const line = `Results so far: ${trimmed(right)} of ${asked} right`;
  return element("div", { class: "results-line" }, element("p", {}, open ? "Your results as a code" : line, shown), copies);
}

/**
 * Return all results, the name that goes with them, and their code.
 * @param {Kept} kept
 * @param {() => void} save
 * @returns {HTMLElement}
 */
export function resultsOf(kept, save) {
  const rows = Object.entries(kept.kinds).map(([kind, [asked, right]]) =>
    element("tr", {}, element("th", { scope: "row" }, book.kinds[kind] ?? kind), element("td", {}, `${trimmed(right)} of ${asked}`)),
  );
  const mixed = mixedUp(kept).slice(0, 3);
  const box = element("section", { class: "results" },
    element("h2", {}, "Results"),
    element("table", {}, element("thead", {}, element("tr", {}, element("th", { scope: "col" }, "What"), element("th", { scope: "col" }, "Right"))), element("tbody", {}, ...rows)),
    mixed.length ? element("p", {}, `Most often taken for one another: ${mixed.map(({ right, given }) => `${given} for ${right}`).join(", ")}.`) : "",
    element("p", {}, kept.ms < 60_000 ? "Less than a minute in all." : `${said(Math.round(kept.ms / 60_000), "minute")} in all.`),
    nameField(kept, save, () => box),
    codeLine(kept, true),
    element("p", { class: "note" }, `In a table of results this page is called ${book.mark}.`),
  );
  return box;
}

/**
 * Return the line for the student's name; the code has it with each letter.
 * @param {Kept} kept
 * @param {() => void} save
 * @param {() => HTMLElement} box where the code stands
 * @returns {HTMLElement}
 */
function nameField(kept, save, box) {
  const field = element("input", { id: "name", maxlength: "20", autocomplete: "given-name", value: kept.name });
  field.addEventListener("input", () => {
    kept.name = field.value;
    save();
    for (const line of findAll(box(), ".results-line")) line.replaceWith(codeLine(kept, true));
  });
  return element("p", { class: "name" }, element("label", { for: "name" }, "Your name, for your teacher"), field);
}
