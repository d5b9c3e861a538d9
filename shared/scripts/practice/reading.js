// What the reader has read: nothing is asked that no ticked notebook has taught.

import { element } from "../kit/element.js";
import { book } from "./book.js";

const notebookNumbers = book.notebooks.map(([number]) => number);

/**
 * Whether a question may be asked.
 * @param {import("./memory.js").Kept} kept
 * @returns {(question: import("./book.js").Question) => boolean}
 */
export function mayAsk(kept) {
  const read = kept.read ?? notebookNumbers;
  const may = (/** @type {string} */ kind) => !notebookNumbers.length || !read.length || read.includes(book.taught[kind]);
  return ({ kind }) => may(kind);
}

/**
 * Return boxes to tick: what was read.
 * @param {import("./memory.js").Kept} kept
 * @param {() => void} changed
 * @returns {HTMLElement | string} nothing where a page is about one lesson
 */
export function readingBox(kept, changed) {
  if (!notebookNumbers.length) return "";
  const boxes = book.notebooks.map(([number, title]) => {
    const box = element("input", { type: "checkbox", id: `read-${number}` });
    box.checked = (kept.read ?? notebookNumbers).includes(number);
    box.addEventListener("change", () => {
      const others = (kept.read ?? notebookNumbers).filter((each) => each !== number);
      kept.read = box.checked ? [...others, number].sort() : others;
      changed();
    });
    return element("li", {}, element("label", { for: `read-${number}` }, box, ` ${title}`));
  });
  return element("details", { class: "reading" },
    element("summary", {}, "What have you read?"),
    element("p", { class: "note" }, "Only what a ticked essay has taught is asked; with none ticked, all is."),
    element("ul", {}, ...boxes),
  );
}
