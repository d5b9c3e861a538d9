// Regions: a place whose HTML is put in anew as a whole, with what a person has there kept.
// Focus, scrolling, what is opened, and a line in which someone types, stay as they were.

const SIGNS = ["data-set", "data-value", "data-press", "data-do", "data-typed", "data-from", "data-for"];
const SCROLLED = "[tabindex='0']";

/**
 * What a person has in a region: where the focus is, what is typed there, what is opened.
 * @typedef {object} Held
 * @property {string} focus a query for what has the focus, or nothing
 * @property {string | null} typing what stands in a line that was not told yet
 * @property {[number, number][]} scrolled
 * @property {boolean[]} open
 */

/**
 * Return a query for an element that is there again after its region was put in anew.
 * @param {Element} each
 * @returns {string} nothing where it bears no name
 */
export function sign(each) {
  const signs = SIGNS.filter((name) => each.hasAttribute(name)).map(
    (name) => `[${name}="${CSS.escape(each.getAttribute(name) ?? "")}"]`,
  );
  return signs.length ? each.tagName.toLowerCase() + signs.join("") : "";
}

/**
 * Return what a person has in a region.
 * @param {HTMLElement} place
 * @returns {Held}
 */
export function held(place) {
  const focused = document.activeElement;
  const active = focused && place.contains(focused) ? /** @type {HTMLInputElement} */ (focused) : null;
  const line = active?.tagName === "INPUT" && active.type === "text" && active.dataset.dirty;
  return {
    focus: active ? sign(active) : "",
    typing: active && line ? active.value : null,
    scrolled: [...place.querySelectorAll(SCROLLED)].map((each) => [each.scrollTop, each.scrollLeft]),
    open: [...place.querySelectorAll("details")].map((each) => each.open),
  };
}

/**
 * Give back what a person had in a region, all but the focus.
 * @param {HTMLElement} place
 * @param {Held} had
 * @returns {HTMLElement | null} what is to have the focus again
 */
export function giveBack(place, had) {
  place.querySelectorAll(SCROLLED).forEach((each, n) => {
    if (had.scrolled[n]) [each.scrollTop, each.scrollLeft] = had.scrolled[n];
  });
  place.querySelectorAll("details").forEach((each, n) => {
    if (had.open[n]) each.open = true;
  });
  /** @type {HTMLInputElement | null} */
  const back = had.focus ? place.querySelector(had.focus) : null;
  if (back && had.typing !== null) {
    back.value = had.typing;
    back.dataset.dirty = "1";
  }
  return back;
}

/**
 * Put HTML in a region, unless it is what stands there.
 * @param {HTMLElement} place
 * @param {string} html
 * @param {(html: string) => string} [made] what is done to the HTML before it is put in
 * @returns {HTMLElement | null | undefined} what is to have the focus again; undefined where
 * nothing changed
 */
export function put(place, html, made = (given) => given) {
  if (place.dataset.shown === html) return undefined;
  const had = held(place);
  place.innerHTML = made(html);
  place.dataset.shown = html;
  return giveBack(place, had);
}
