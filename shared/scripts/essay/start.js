// The first thing that is seen: a chord steps to a dominant and on, until it is held or heard.

import { button, element, find, findAll, say } from "../kit/element.js";
import { hear, keepKeys, ownIds } from "../kit/widget.js";
import { Scene } from "../panel/scene.js";
import { Sounds } from "./sounds.js";

/**
 * One stop on a way.
 * @typedef {import("./figure.js").Both & {facts: string, name: string}} Stop
 */

/**
 * All that is shown.
 * @typedef {{clock: string, neck: string, mark: string, letters: Record<string, [string, string]>,
 *   ways: Stop[][], roads: [string, string, string][]}} StartData
 */

const EACH_STOP = 1500; // ms
const EACH_CHORD = 0.9; // s, of a sound

/** The first screen. */
class Start {
  /**
   * @param {StartData} data
   * @param {Sounds} sounds
   */
  constructor(data, sounds) {
    this.data = data;
    this.sounds = sounds;
    this.way = 0;
    this.stop = 0;
    this.timer = 0;
    const own = ownIds("hks");
    this.clock = element("div", { class: "hk-clock" });
    this.neck = element("div", { class: "hk-neck" });
    this.scenes = [this.clock, this.neck].map((place, side) => {
      const name = side ? "neck" : "clock";
      const scene = new Scene(place, `${own}${name}-`, (part) => this.pressed(part));
      scene.put(side ? data.neck : data.clock, data.mark, data.letters);
      return scene;
    });
    this.root = this.build();
    sounds.say = (words) => say(this.said, words);
    sounds.clip.audio.addEventListener("timeupdate", () => this.follow());
    this.root.append(sounds.clip.audio);
    keepKeys(this.root);
    this.show();
    if (!matchMedia("(prefers-reduced-motion: reduce)").matches) this.move();
  }

  /** @returns {HTMLElement} */
  build() {
    this.hearIt = button("Hear it", () => this.hear(this.way), { class: "hk-next hk-sound" });
    this.hold = button("Hold still", () => this.toggle(), { class: "hk-hold" });
    this.stops = element("ol", { class: "hk-stops", "aria-label": "where it is" });
    this.said = element("p", { class: "hk-said", role: "status" });
    this.ways = element("div", { class: "hk-ways", role: "group", "aria-label": "dominants" });
    this.data.ways.forEach(([, dominant, goal], place) => {
      const label = element("span", {}, dominant.name);
      const made = button("", () => this.choose(place), { class: "hk-way hk-sound" });
      made.append(label, " ", element("span", { class: "hk-goal" }, `to ${goal.name}`));
      this.ways.append(made);
    });
    const words = element("p", {}, "One finger falls by one fret, and the chord has somewhere to go. Choose where:");
    const row = element("div", { class: "hk-row" }, this.hearIt, this.hold);
    const side = element("div", { class: "hk-side" }, row, this.stops, words, this.ways, this.said);
    const top = element("div", { class: "hk-moving" }, this.clock, this.neck, side);
    const roads = element("nav", { class: "hk-roads", "aria-label": "ways on" }, ...this.data.roads.map((road) => this.road(road)));
    return element("div", { class: "harmonykit-panel hk-start", role: "group", "aria-label": "one chord, four dominants" }, top, roads);
  }

  /**
   * Make one of the three roads on; the whole of it is pressed.
   * @param {[string, string, string]} road
   * @returns {HTMLElement}
   */
  road([heading, title, text]) {
    const go = (/** @type {Event} */ event) => {
      const book = this.root.closest(".jp-Notebook") ?? document.body;
      const there = findAll(book, "h2").find((each) => (each.textContent ?? "").startsWith(heading));
      if (!there) return;
      event.preventDefault();
      there.scrollIntoView({ block: "start" });
    };
    const made = element("a", { class: "hk-road", href: `#${heading.replaceAll(" ", "-")}` }, element("b", {}, title), element("span", {}, text));
    made.addEventListener("click", go);
    return made;
  }

  /**
   * Show where it is.
   * @returns {void}
   */
  show() {
    const stop = this.data.ways[this.way][this.stop];
    this.scenes.forEach((scene, side) => {
      scene.show(side ? stop.neck : stop.clock, `${side ? "neck" : "clock"}: ${stop.facts}`);
    });
    const stops = this.data.ways[this.way].map((each, place) =>
      element("li", place === this.stop ? { "aria-current": "step" } : {}, each.name));
    find(this.root, ".hk-stops").replaceChildren(...stops);
    findAll(this.root, ".hk-way").forEach((each, place) => {
      if (place === this.way) each.setAttribute("aria-current", "true");
      else each.removeAttribute("aria-current");
    });
    this.root.dataset.stop = String(this.stop);
  }

  /**
   * Step on by itself, in silence.
   * @returns {void}
   */
  move() {
    this.timer = setInterval(() => {
      if (!this.root.isConnected) return;
      this.stop = (this.stop + 1) % 3;
      this.show();
    }, EACH_STOP);
    this.tellHold();
  }

  /**
   * Stand still.
   * @returns {void}
   */
  stand() {
    clearInterval(this.timer);
    this.timer = 0;
    this.tellHold();
  }

  /**
   * @returns {void}
   */
  tellHold() {
    say(/** @type {Element} */ (this.hold), this.timer ? "Hold still" : "Let it move");
  }

  /**
   * @returns {void}
   */
  toggle() {
    if (this.timer) this.stand();
    else this.move();
  }

  /**
   * Hear a way from its first chord; the figure follows the sound.
   * @param {number} way
   * @returns {void}
   */
  hear(way) {
    this.stand();
    this.stop = 0;
    this.show();
    this.sounds.hear(way, /** @type {HTMLElement} */ (this.hearIt));
  }

  /**
   * Choose a dominant, and hear it.
   * @param {number} way
   * @returns {void}
   */
  choose(way) {
    this.way = way;
    this.sounds.clip.audio.pause();
    this.hear(way);
  }

  /**
   * Show the chord that sounds.
   * @returns {void}
   */
  follow() {
    const audio = this.sounds.clip.audio;
    if (audio.paused) return;
    const stop = Math.min(2, Math.floor(audio.currentTime / EACH_CHORD));
    if (stop === this.stop) return;
    this.stop = stop;
    this.show();
  }

  /**
   * Let a note fall that is pressed, where a dominant comes of it.
   * @param {string} part
   * @returns {void}
   */
  pressed(part) {
    const way = this.data.ways.findIndex(([first, dominant]) => {
      const side = part.startsWith("pc-") ? "clock" : "neck";
      return first[side].looks[part]?.[0] === "note" && dominant[side].looks[part]?.[0] === "was";
    });
    if (way >= 0) this.choose(way);
    else say(find(this.root, ".hk-said"), "Press a note of A°7: it falls by a semitone.");
  }
}

/**
 * Show the first screen in a notebook.
 * @param {{model: import("../kit/widget.js").Model, el: HTMLElement}} given
 * @returns {() => void} ends it
 */
function render({ model, el }) {
  const sounds = new Sounds(model);
  const start = new Start(model.get("start"), sounds);
  el.classList.add("hk-start-place");
  el.append(start.root);
  const end = hear(sounds.model, [["msg:custom", (message, buffers) => sounds.take(message, buffers)]]);
  return () => {
    end();
    start.stand();
    sounds.clip.forget();
  };
}

export default { render };
