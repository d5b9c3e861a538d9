// How far work is, and a button that stops it or lets it go on.

import { button, element } from "./element.js";

export class Progress {
  /**
   * @param {(control: string) => void} press
   * @param {string} [halted] what is said once it was stopped
   */
  constructor(press, halted = "Stopped before everything was drawn.") {
    this.halted = halted;
    this.words = element("span");
    this.bar = element("progress", { max: "1", "aria-label": "Progress" });
    const does = () => press(this.button.dataset.control ?? "");
    this.button = button("Stop", does, { "data-control": "stop" });
    const inside = [this.words, this.bar, this.button];
    this.box = element("div", { class: "hk-progress", hidden: "" }, ...inside);
  }

  /**
   * Show how far work is.
   * @param {string} busy what is done, or nothing
   * @param {[number, number]} parts how many are done, and of how many
   * @param {boolean} stopped
   * @returns {void}
   */
  show(busy, [done, total], stopped) {
    const percent = Math.round((100 * done) / total);
    this.box.hidden = !busy && !stopped;
    this.bar.hidden = !busy;
    this.bar.value = done / total;
    this.words.textContent = busy ? `${busy}: ${percent} %` : this.halted;
    this.button.textContent = busy ? "Stop" : "Continue";
    this.button.dataset.control = busy ? "stop" : "go_on";
  }
}
