// The keyboard: one stop of the Tab key for many parts, arrow keys to the nearest in a direction.

/**
 * A direction, as steps to the right and down.
 * @typedef {[number, number]} Way
 */

/** @type {Record<string, Way>} */
export const WAYS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowDown: [0, 1], ArrowUp: [0, -1] };

/**
 * Return the middle of an element, in pixels of the window.
 * @param {Element} each
 * @returns {[number, number]}
 */
export function middle(each) {
  const box = each.getBoundingClientRect();
  return [box.left + box.width / 2, box.top + box.height / 2];
}

/**
 * Return the nearest of some elements in a direction, or nothing: what lies aside is twice as far.
 * @template {Element} E
 * @param {E} from
 * @param {E[]} all
 * @param {Way} way
 * @param {(each: E) => [number, number]} [where] where an element is; its middle unless given
 * @returns {E | null}
 */
export function neighbour(from, all, [dx, dy], where = middle) {
  const [x, y] = where(from);
  let best = null;
  let least = Infinity;
  for (const each of all) {
    const [ex, ey] = where(each);
    const along = (ex - x) * dx + (ey - y) * dy;
    const aside = Math.abs((ex - x) * dy) + Math.abs((ey - y) * dx);
    if (each !== from && along > 1 && along + 2 * aside < least) {
      least = along + 2 * aside;
      best = each;
    }
  }
  return best;
}

/**
 * Let the Tab key stop at one of some elements, and at no other.
 * @param {Element[]} all
 * @param {Element | null} [current]
 * @returns {void}
 */
export function oneStop(all, current) {
  for (const each of all) each.setAttribute("tabindex", each === current ? "0" : "-1");
}

/**
 * Say whether a key belongs to something else: a line, or a command of browser or notebook.
 * @param {KeyboardEvent} event
 * @returns {boolean}
 */
export function isCommand(event) {
  return event.ctrlKey || event.altKey || event.metaKey;
}

/**
 * Do what a key means on a part that can be pressed: press it, or go on from it.
 * @param {KeyboardEvent} event
 * @param {() => void} press
 * @param {(way: Way) => void} go
 * @returns {void}
 */
export function pressOrGo(event, press, go) {
  const way = WAYS[event.key];
  if (event.key === "Enter" || event.key === " ") press();
  else if (way) go(way);
  else return;
  event.preventDefault();
}
