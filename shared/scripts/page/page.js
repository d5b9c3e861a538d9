// A lesson's page: shapes and notes that are heard when they are clicked, a player for each level,
// and what makes all of it reachable by the keyboard.

import { at, find, findAll } from "../kit/element.js";
import { foldLong } from "./fold.js";
import { music } from "./music.js";
import { Player, playing } from "./player.js";
import { sound } from "./sound.js";

/** @type {Record<string, number>} */
const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

/**
 * Return the shapes that a click sounds: one note of a wide figure, a shape, or the box in a chart.
 * @param {Event} event
 * @returns {string} nothing where there is nothing to hear
 */
function shapesAt(event) {
  const part = at(event, ".wide [data-part^=string-]");
  if (part) {
    const [, string, , fret] = (part.dataset.part ?? "").split("-");
    return music.strings.map((_, index) => (index === Number(string) - 1 ? fret : "x")).join("-");
  }
  const box = at(event, ".cell .box");
  const heard = box?.parentElement ? find(box.parentElement, ".hear") : at(event, "[data-frets]");
  return heard?.dataset.frets ?? "";
}

/**
 * Go on in a chart by an arrow key: one button is reached by the Tab key, the others by arrows.
 * @param {HTMLElement[]} buttons
 * @param {KeyboardEvent} event
 * @returns {void}
 */
function goOn(buttons, event) {
  const place = buttons.findIndex((each) => each === document.activeElement);
  const next = buttons[place + STEPS[event.key]];
  if (place < 0 || !next) return;
  event.preventDefault();
  buttons[place].tabIndex = -1;
  next.tabIndex = 0;
  next.focus();
}

/**
 * Let what scrolls sideways be reached by the keyboard, and only that.
 * @param {HTMLElement[]} frames
 * @returns {void}
 */
function reachScrolled(frames) {
  const reach = new ResizeObserver(() => {
    for (const frame of frames) {
      if (frame.scrollWidth > frame.clientWidth + 1) frame.tabIndex = 0;
      else frame.removeAttribute("tabindex");
    }
  });
  for (const frame of frames) reach.observe(frame);
}

document.addEventListener("click", (event) => {
  const shapes = shapesAt(event);
  if (!shapes) return;
  playing?.stop();
  sound.strum(shapes);
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") playing?.stop();
});
for (const chart of findAll(document, ".chart")) {
  const buttons = findAll(chart, "button");
  chart.addEventListener("keydown", (event) => goOn(buttons, event));
}
reachScrolled(findAll(document, ".scroll, .wide .frame"));
foldLong();

const levels = "AudioContext" in window ? findAll(document, ".level") : [];
export const players = levels.map((root) => new Player(root));
if ("AudioContext" in window) {
  const hint = document.querySelector(".hint"); // once is enough
  if (hint) /** @type {HTMLElement} */ (hint).hidden = false;
  document.documentElement.classList.add("alive");
}
