// What is long is folded on a telephone: the first rows of a table, the first of two changes; a
// button below shows the others.  Without a script, on wider screens and on paper all is there.

import { button, findAll } from "../kit/element.js";

const NARROW = "(max-width: 599px)";
const ROWS = 4; // that are left of a table
const ENOUGH = 2; // as few more are not worth a press

/**
 * Return what a part holds that is left away at first.
 * @param {HTMLElement} part
 * @returns {HTMLElement[]}
 */
function others(part) {
  const rows = findAll(part, "tbody tr").slice(ROWS);
  return rows.length > ENOUGH ? rows : findAll(part, ".pair").slice(1);
}

/**
 * Fold a part of the page, if it is long.
 * @param {HTMLElement} part
 * @returns {void}
 */
function fold(part) {
  const more = others(part);
  if (!more.length) return;
  const [first] = more;
  const words = first.matches("tr") ? `Show ${more.length} more rows` : "Show the other change";
  const show = button(words, () => {
    for (const each of more) each.classList.remove("folded");
    show.remove();
    // Who came by the keyboard goes on where the button was.
    first.tabIndex = -1;
    first.focus({ preventScroll: true });
  }, { class: "unfold" });
  for (const each of more) each.classList.add("folded");
  part.after(show);
}

/**
 * Fold what is long, where the screen is narrow.
 * @returns {void}
 */
export function foldLong() {
  if (!matchMedia(NARROW).matches) return;
  for (const part of findAll(document, ".scroll, .changes")) fold(part);
}
