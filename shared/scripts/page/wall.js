// The cues on a wall: a lesson's page, and a button for each level that lets it fill the screen.

import { find } from "../kit/element.js";
import { players } from "./page.js";
import { MARK } from "./screen.js";

/**
 * Let a level fill the screen, or the screen be as it was.
 * @param {HTMLElement} root of the level
 * @returns {void}
 */
function fill(root) {
  if (document.fullscreenElement) document.exitFullscreen();
  else root.requestFullscreen();
}

for (const { root } of players) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "fill";
  button.textContent = "Fill the screen";
  button.addEventListener("click", () => fill(root));
  find(root, ".player").prepend(button);
}

/**
 * Tell a level that fills the screen how tall its tallest bar is, with the mark above it.
 * @returns {void}
 */
function measureBars() {
  const full = players.find(({ root }) => document.fullscreenElement === root)?.root;
  if (!full) return;
  const bars = [...full.querySelectorAll(".bar")];
  const tallest = Math.max(...bars.map((bar) => bar.getBoundingClientRect().height));
  const mark = MARK * (bars[0]?.currentCSSZoom ?? 1);
  full.style.setProperty("--bar", `${Math.ceil(tallest + mark) + 6}px`);
}

document.addEventListener("fullscreenchange", () => {
  for (const { root } of players) {
    const full = document.fullscreenElement === root;
    find(root, ".fill").textContent = full ? "Back to the page" : "Fill the screen";
  }
  measureBars();
});
addEventListener("resize", measureBars);
// On a low screen bars lose their diagrams as soon as it plays.
const watcher = new ResizeObserver(measureBars);
for (const { root } of players) watcher.observe(find(root, ".chart"));
