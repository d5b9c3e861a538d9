// The page where ideas for lessons are found: what is asked, the list, and the one looked at.

import { attend, lostPlace } from "../kit/attend.js";
import { Clip } from "../kit/clip.js";
import { Controls } from "../kit/controls.js";
import { at, element, findAll, say } from "../kit/element.js";
import { Progress } from "../kit/progress.js";
import { put } from "../kit/region.js";
import { hear, keepKeys, ownIds } from "../kit/widget.js";

/**
 * Make the places of the page.
 * @param {string} title
 */
function makePlaces(title) {
  return {
    root: element("div", { class: "harmonykit-panel hk-ideas", role: "group", "aria-label": title }),
    ask: element("div", { class: "hk-controls hk-ask" }),
    act: element("div", { class: "hk-controls" }),
    trouble: element("div", { class: "hk-trouble", role: "alert" }),
    facts: element("p", { class: "hk-facts", role: "status" }),
    list: element("nav", { class: "hk-list", "aria-label": "Ideas, the most useful first" }),
    shown: element("section", { "aria-label": "The idea that is chosen" }),
    written: element("p", { class: "hk-written", role: "status" }),
  };
}

/** The page in one view. */
class Page {
  /** @param {import("../kit/widget.js").Model} given */
  constructor(given) {
    this.own = ownIds("hki");
    this.places = makePlaces(given.get("title"));
    const lost = element("div", {});
    const model = attend(given, lostPlace(lost));
    this.model = model;
    this.lost = lost;
    this.clip = new Clip();
    // Whether someone chose an idea that is not shown yet.
    this.chose = false;
    const tell = (/** @type {object} */ message) => model.send(message);
    this.progress = new Progress((set) => tell({ set, value: "" }), "Stopped before everything was tried.");
    const { ask, act } = this.places;
    const rowOf = (/** @type {{row?: string}} */ each) => (each.row === "ask" ? ask : act);
    this.controls = new Controls({ own: this.own, tell, rows: [ask, act], rowOf });
    this.fill();
    this.listen(tell);
  }

  /**
   * Put all places on the page.
   * @returns {void}
   */
  fill() {
    const { root, ask, act, trouble, facts, list, shown, written } = this.places;
    const right = element("div", { class: "hk-one" }, act, written, shown);
    const bench = element("div", { class: "hk-two" }, list, right);
    root.append(ask, trouble, this.lost, this.progress.box, facts, bench, this.clip.audio);
    keepKeys(root);
  }

  /**
   * Choose an idea with a press, or go from one to the next with the arrow keys.
   * @param {(message: object) => void} tell
   * @returns {void}
   */
  listen(tell) {
    const { list } = this.places;
    list.addEventListener("click", (event) => {
      const pressed = at(event, "[data-press]");
      if (pressed) tell({ press: pressed.dataset.press });
      this.chose = Boolean(pressed);
    });
    list.addEventListener("keydown", (event) => {
      const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
      const all = findAll(list, "[data-press]");
      const next = step && all[all.indexOf(/** @type {HTMLElement} */ (event.target)) + step];
      if (!next) return;
      next.focus();
      event.preventDefault();
    });
  }

  /**
   * Say what was found, what goes on, what was wrong, and what was written.
   * @returns {void}
   */
  showSaid() {
    const { trouble, facts, written, root } = this.places;
    const now = this.model.get("said");
    say(trouble, now.trouble ?? "");
    say(facts, now.facts ?? "");
    this.progress.show(now.busy ?? "", now.progress ?? [0, 1], now.stopped ?? false);
    root.dataset.busy = String(Boolean(now.busy));
    const words = now.written ? [now.written, element("br"), "Go on with ", element("code", {}, now.then)] : [];
    if (written.dataset.written !== now.written) written.replaceChildren(...words);
    written.dataset.written = now.written ?? "";
  }

  /**
   * Put a region in.
   * @param {"list" | "shown"} place
   * @param {string} name of the trait
   * @returns {void}
   */
  put(place, name) {
    const back = put(this.places[place], this.model.get(name), (html) => html.replaceAll("@own@", this.own));
    if (back) back.focus({ preventScroll: true });
    const { list, act } = this.places;
    const below = act.getBoundingClientRect().top >= list.getBoundingClientRect().bottom;
    if (place === "shown" && this.chose && below) act.scrollIntoView({ block: "start" });
    if (place === "shown") this.chose = false;
  }

  /**
   * Play a sound that was sent.
   * @param {{sound?: number}} message
   * @param {BlobPart[]} buffers
   * @returns {void}
   */
  play({ sound }, buffers) {
    if (sound === undefined) return;
    const { root, trouble } = this.places;
    this.clip.take(buffers[0]);
    this.clip.play(0, (seconds) => (root.dataset.played = String(seconds)), (words) => say(trouble, words));
  }

  /**
   * Show all, and listen to the kernel.
   * @returns {() => void} ends it
   */
  begin() {
    /** @type {[string, () => void][]} */
    const parts = [
      ["controls", () => this.controls.show(this.model.get("controls"))],
      ["said", () => this.showSaid()],
      ["found", () => this.put("list", "found")],
      ["shown", () => this.put("shown", "shown")],
    ];
    for (const [, show] of parts) show();
    return hear(this.model, [
      ...parts.map(([name, show]) => /** @type {[string, () => void]} */ ([`change:${name}`, show])),
      ["msg:custom", (message, buffers) => this.play(message, buffers)],
    ]);
  }
}

/**
 * Show the page.
 * @param {{model: import("../kit/widget.js").Model, el: HTMLElement}} given
 * @returns {() => void} ends it
 */
function render({ model, el }) {
  const page = new Page(model);
  el.append(page.places.root);
  const end = page.begin();
  return () => {
    end();
    page.clip.forget();
  };
}

export default { render };
