// One control for the code of a notebook: all of it is opened, or folded again.

import { button, element, findAll, say } from "../kit/element.js";

const FOLDED = ".jp-CodeCell .jp-InputPlaceholder";
const COLLAPSER = ".jp-CodeCell .jp-Cell-inputCollapser > *";

/**
 * Open all code of a notebook where some is folded, else fold all of it.
 * @param {Element} book
 * @returns {boolean} whether it is open now
 */
function turnCode(book) {
  const folded = findAll(book, FOLDED);
  if (folded.length) {
    for (const each of folded) each.click();
    return true;
  }
  for (const each of findAll(book, COLLAPSER)) each.click();
  return false;
}

/**
 * Show the control in a notebook.
 * @param {{el: HTMLElement}} given
 * @returns {void}
 */
function render({ el }) {
  const label = element("span", {}, "how this is computed");
  const press = () => {
    const book = el.closest(".jp-Notebook");
    const open = book ? turnCode(book) : false;
    made.setAttribute("aria-expanded", String(open));
    say(label, open ? "fold the code again" : "how this is computed");
  };
  const made = button("", press, { class: "hk-quiet", "aria-expanded": "false" });
  made.append(label);
  el.append(element("div", { class: "harmonykit-panel hk-code-switch" }, made));
}

export default { render };
