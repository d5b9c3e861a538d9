// On a telephone long lists are folded: a button shows the other rows, or the other change.

import { button, findAll } from "../kit/element.js";

const NARROW = "(max-width: 599px)";
const ROWS = 4; // that are left of a table
const FEW = 2; // more are not worth a press

/**
 * Fold a part of the page, if it is long.
 * @param {HTMLElement} part
 * @returns {void}
 */
function fold(part) {
  const rows = findAll(part, "tbody tr").slice(ROWS);
  const more = rows.length > FEW ? rows : findAll(part, ".pair").slice(1);
  if (!more.length) return;
  const [first] = more;
  const show = button(first.matches("tr") ? `Show ${more.length} more rows` : "Show the other change", () => {
    for (const each of more) each.classList.remove("folded");
    show.remove();
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
  if (matchMedia(NARROW).matches) findAll(document, ".scroll, .changes").forEach(fold);
}
