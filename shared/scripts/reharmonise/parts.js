// The parts that are reached by arrow keys: the marks of the plot are one stop of the Tab key, and
// so are the chords, locks and numbers of the chart.

import { findAll } from "../kit/element.js";
import { middle, neighbour, oneStop, pressOrGo } from "../kit/keys.js";

const GROUPS = "[data-region=chart], [data-region=plot] svg, svg[role=group]";
/** What is pressed and reached so. */
export const PARTS = "[data-press][role=button], .from";

/**
 * Return the parts of a group, or none without one.
 * @param {Element | null} group
 * @returns {HTMLElement[]}
 */
function partsOf(group) {
  return group ? findAll(group, PARTS) : [];
}

/**
 * Return the parts among which an arrow key goes on from one.
 * @param {Element} each
 * @returns {HTMLElement[]}
 */
export function beside(each) {
  return partsOf(each.closest("[data-region=chart], [data-region=plot] svg") ?? each.closest("svg"));
}

/**
 * Let the Tab key stop in each group of a region: at what is chosen in the plot, else at the first.
 * @param {Element} region
 * @returns {void}
 */
export function reach(region) {
  const groups = region.matches(GROUPS) ? [region] : findAll(region, GROUPS);
  for (const group of groups) {
    const found = partsOf(group);
    const isOn = (/** @type {Element} */ one) => one.getAttribute("aria-pressed") === "true";
    const chosen = group.tagName === "svg" ? found.find(isOn) : undefined;
    (chosen ?? found[0])?.setAttribute("tabindex", "0");
  }
}

/**
 * Give a part the focus, and let the Tab key stop there.
 * @param {HTMLElement} each
 * @returns {void}
 */
export function focusOn(each) {
  oneStop(beside(each), each);
  each.focus();
}

/**
 * Return the parts that stand in a row with one.
 * @param {HTMLElement[]} all
 * @param {Element} one
 * @returns {HTMLElement[]}
 */
function rowOf(all, one) {
  const { top, bottom } = one.getBoundingClientRect();
  return all.filter((each) => {
    const box = each.getBoundingClientRect();
    return box.top < bottom && top < box.bottom;
  });
}

/**
 * Return the parts of the next row up or down: first what stands in the column of the bar.
 * @param {HTMLElement[]} all
 * @param {HTMLElement} part
 * @param {number} dy
 * @returns {HTMLElement[]}
 */
function nextRow(all, part, dy) {
  const { top, bottom } = part.getBoundingClientRect();
  const column = (part.closest(".bar") ?? part).getBoundingClientRect();
  const gap = (/** @type {Element} */ each) => {
    const box = each.getBoundingClientRect();
    return dy > 0 ? box.top - bottom : top - box.bottom;
  };
  const ahead = all.filter((each) => gap(each) > -1);
  const below = ahead.filter((each) => {
    const [x] = middle(each);
    return column.left < x && x < column.right;
  });
  const found = below.length ? below : ahead;
  const least = Math.min(...found.map(gap));
  const nearest = found.find((each) => gap(each) === least);
  return nearest ? rowOf(found, nearest) : [];
}

/**
 * Return the parts that an arrow key may reach: in the chart, those of the row or of the next one.
 * @param {HTMLElement} part
 * @param {import("../kit/keys.js").Way} way
 * @returns {HTMLElement[]}
 */
function within(part, [dx, dy]) {
  const all = beside(part);
  if (!part.closest("[data-region=chart]")) return all;
  return dx ? rowOf(all, part) : nextRow(all, part, dy);
}

/**
 * Do what a key means on a part.
 * @param {KeyboardEvent} event
 * @param {HTMLElement} part
 * @param {(part: HTMLElement) => void} press
 * @returns {void}
 */
export function keyOn(event, part, press) {
  pressOrGo(event, () => press(part), (way) => {
    const next = neighbour(part, within(part, way), way);
    if (next) focusOn(next);
  });
}
