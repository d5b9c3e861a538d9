// The parts that the page of questions is made of: buttons, the row of ten, what is said of results.

import { button, element } from "../kit/element.js";
import { drawn } from "./draw.js";

const PATHS = {
  right: "M6.2 12.4 10.2 16.4 17.8 8.2",
  wrong: "M8 8 16 16M16 8 8 16",
  play: "M8 4.5 19 12 8 19.5z",
};
/** @type {Record<string, string>} */
const SAID = { right: "right", half: "half right", wrong: "not yet", now: "now", later: "to come" };

/** @typedef {"right" | "half" | "wrong" | "now" | "later"} Mark */

/**
 * Make a sign: a disc with a tick, an open disc with a cross, a half disc, a ring, a dot.
 * @param {Mark} kind
 * @returns {SVGElement}
 */
export function sign(kind) {
  const svg = drawn("svg", { class: `sign ${kind}`, viewBox: "0 0 24 24", "aria-hidden": "true" });
  const open = { cx: 12, cy: 12, r: 10, class: "open" };
  if (kind === "right") {
    svg.append(drawn("circle", { cx: 12, cy: 12, r: 11, class: "solid" }));
    svg.append(drawn("path", { d: PATHS.right, class: "tick" }));
  } else if (kind === "wrong") {
    svg.append(drawn("circle", open), drawn("path", { d: PATHS.wrong, class: "cross" }));
  } else if (kind === "half") {
    svg.append(drawn("circle", open), drawn("path", { d: "M12 2A10 10 0 0 0 12 22z", class: "solid" }));
  } else if (kind === "now") {
    svg.append(drawn("circle", open), drawn("circle", { cx: 12, cy: 12, r: 3.6, class: "solid" }));
  } else svg.append(drawn("circle", { cx: 12, cy: 12, r: 4, class: "soft" }));
  return svg;
}

/**
 * Return what a score is.
 * @param {number} score
 * @returns {Mark}
 */
export function markOf(score) {
  return score >= 1 ? "right" : score > 0 ? "half" : "wrong";
}

/**
 * Make the row of ten.
 * @param {number[]} scores of those that were answered
 * @param {boolean} asking whether the next one is being asked
 * @param {number} many
 * @returns {HTMLElement}
 */
export function tenRow(scores, asking, many) {
  const row = element("ol", { class: "ten" });
  for (let n = 0; n < many; n++) {
    const kind = n < scores.length ? markOf(scores[n]) : n === scores.length && asking ? "now" : "later";
    const last = !asking && n === scores.length - 1 ? { class: "last" } : {};
    const said = element("span", { class: "unseen" }, `Question ${n + 1}: ${SAID[kind]}`);
    row.append(element("li", last, sign(kind), said));
  }
  return row;
}

/**
 * Make a button that sounds something.
 * @param {string} label
 * @param {() => void} does
 * @param {string} [more] classes beside its own
 * @returns {HTMLButtonElement}
 */
export function hearButton(label, does, more = "") {
  const made = button("", does, { class: `hears ${more}`.trim() });
  const triangle = drawn("svg", { class: "triangle", viewBox: "0 0 24 24", "aria-hidden": "true" });
  triangle.append(drawn("path", { d: PATHS.play }));
  const hear = label.startsWith("Hear") ? "" : "Hear ";
  made.append(triangle, element("span", {}, element("span", { class: "unseen" }, hear), label));
  return made;
}

/**
 * Make a button for the one thing to do next.
 * @param {string} label
 * @param {() => void} does
 * @returns {HTMLButtonElement}
 */
export function nextButton(label, does) {
  return button(label, does, { class: "next" });
}

/**
 * Copy a text, and say on the button whether that was done.
 * @param {HTMLButtonElement} from
 * @param {string} text
 * @param {HTMLElement} shown where it can be selected by hand
 * @returns {Promise<void>}
 */
export async function copy(from, text, shown) {
  try {
    await navigator.clipboard.writeText(text);
    from.textContent = "Copied";
  } catch {
    getSelection()?.selectAllChildren(shown);
    from.textContent = document.execCommand("copy") ? "Copied" : "Selected: copy it";
  }
}
