// A chart that is followed as it sounds: which step it is, what is marked, what is shown large.

/**
 * Return the last place in a sorted list that is not after a time; -1 before the first.
 * @param {number[]} times
 * @param {number} time
 * @returns {number}
 */
export function lastAt(times, time) {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] <= time) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/**
 * Move a mark from one element of a list to another; a place that is not in the list has none.
 * @param {ArrayLike<Element>} items
 * @param {number} old
 * @param {number} now
 * @param {string} name
 * @returns {void}
 */
export function moveMark(items, old, now, name) {
  items[old]?.classList.remove(name);
  items[now]?.classList.add(name);
}

/**
 * Show a chord and its shape large, as a cell of the chart has them; nothing without a cell.
 * @param {Element} place
 * @param {Element | null | undefined} cell
 * @returns {void}
 */
export function showShape(place, cell) {
  const chord = /** @type {Element} */ (place.querySelector(".chord"));
  const large = /** @type {Element} */ (place.querySelector("svg"));
  const box = cell?.querySelector(".box");
  chord.textContent = cell?.querySelector(".chord")?.textContent ?? "";
  large.classList.toggle("empty", !box);
  if (!box) return;
  large.setAttribute("viewBox", box.getAttribute("viewBox") ?? "");
  large.firstElementChild?.setAttribute("href", box.firstElementChild?.getAttribute("href") ?? "");
}
