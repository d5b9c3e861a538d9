// The figure of an essay: clock and neck of the same moment, what can be heard of it, and its key.

import { button, element, find, say } from "../kit/element.js";
import { Scene } from "../panel/scene.js";

/**
 * What is seen on clock or neck.
 * @typedef {{looks: Record<string, [string, string, string, boolean, [number, number] | []]>,
 *   lines: Record<string, string>}} Seen
 */

/**
 * What clock and neck show at one moment.
 * @typedef {{clock: Seen, neck: Seen}} Both
 */

/**
 * A moment, as words, with the buttons by which it is heard.
 * @typedef {Both & {facts: string, hear: [string, number][]}} Moment
 */

const KEY = {
  root: "root", third: "third", fifth: "fifth", seventh: "sixth or seventh", tension: "tension",
  note: "note", was: "where it was", guess: "your guess",
};
const SIDES = /** @type {const} */ (["clock", "neck"]);

/**
 * Join what is seen of a moment with what is put beside it.
 * @param {Both[]} all
 * @param {"clock" | "neck"} side
 * @returns {Seen}
 */
function joinSeen(all, side) {
  const seen = all.map((each) => each[side]);
  return {
    looks: Object.assign({}, ...seen.map((each) => each.looks)),
    lines: Object.assign({}, ...seen.map((each) => each.lines)),
  };
}

/** Clock and neck, which stay in view. */
export class EssayFigure {
  /**
   * @param {{clock: string, neck: string, mark: string, letters: Record<string, [string, string]>}} data
   * @param {{own: string, press: (part: string) => void, hear: (place: number, by: HTMLElement) => void}} desk
   */
  constructor(data, { own, press, hear }) {
    this.hear = hear;
    this.own = own;
    this.mark = data.mark;
    this.bar = element("div", { class: "hk-hear", role: "group", "aria-label": "hear it" });
    this.key = element("p", { class: "hk-key" });
    this.said = element("p", { class: "hk-said", role: "status", "aria-live": "polite" });
    this.how = button("how this is computed", () => this.toggle(), {
      class: "hk-quiet hk-how", "aria-expanded": "false",
    });
    this.code = element("div", { class: "hk-code", hidden: "" });
    this.places = { clock: element("div", { class: "hk-clock" }), neck: element("div", { class: "hk-neck" }) };
    this.scenes = SIDES.map((side) => {
      const scene = new Scene(this.places[side], `${own}${side}-`, press);
      scene.put(data[side], data.mark, data.letters);
      return scene;
    });
    this.root = this.build();
  }

  /** @returns {HTMLElement} */
  build() {
    const turn = (/** @type {string} */ side) => () => this.turn(side);
    this.turns = SIDES.map((side) => button(side, turn(side), { "data-side": side }));
    const sides = element("div", { class: "hk-sides", role: "group", "aria-label": "what is seen" }, ...this.turns);
    const top = element("div", { class: "hk-top" }, this.bar, sides, this.how);
    const right = element("div", { class: "hk-right" }, top, this.places.neck, this.key, this.said);
    const row = element("div", { class: "hk-row" }, this.places.clock, right);
    const root = element("div", { class: "hk-pinned", role: "region", "aria-label": "the figure" }, row, this.code);
    return root;
  }

  /**
   * Show clock or neck, where there is room for one of them.
   * @param {string} side
   * @returns {void}
   */
  turn(side) {
    this.root.dataset.side = side;
    for (const each of this.turns ?? []) each.setAttribute("aria-pressed", String(each.dataset.side === side));
  }

  /**
   * Open or close the code.
   * @returns {void}
   */
  toggle() {
    this.code.hidden = !this.code.hidden;
    this.how.setAttribute("aria-expanded", String(!this.code.hidden));
  }

  /**
   * Show a moment.
   * @param {Moment} moment
   * @param {Both[]} beside what is put beside it: a guess, the truth
   * @returns {void}
   */
  show(moment, beside) {
    const roles = new Set();
    SIDES.forEach((side, place) => {
      const seen = joinSeen([moment, ...beside], side);
      this.scenes[place].show(seen, side === "clock" ? `clock: ${moment.facts}` : `neck: ${moment.facts}`);
      for (const [role] of Object.values(seen.looks)) roles.add(role);
    });
    this.showKey(roles);
    this.showHear(moment.hear);
    say(this.said, "");
  }

  /**
   * Show the buttons by which a moment is heard.
   * @param {[string, number][]} sounds
   * @returns {void}
   */
  showHear(sounds) {
    const buttons = sounds.map(([label, place]) => {
      const made = button(label, () => this.hear(place, made), { class: "hk-sound", "data-hear": String(place) });
      return made;
    });
    this.bar.replaceChildren(...buttons);
  }

  /**
   * Show the marks that are in use, with their words.
   * @param {Set<string>} roles
   * @returns {void}
   */
  showKey(roles) {
    const used = Object.entries(KEY).filter(([role]) => roles.has(role));
    const parts = used.map(([role, word]) => {
      const holder = element("span", { class: "hk-mark" });
      const size = role === "guess" ? "-20 -20 40 40" : "-17 -17 34 34";
      holder.innerHTML = `<svg viewBox="${size}" aria-hidden="true"><use href="#${this.own}clock-${this.mark}${role}"/></svg>`;
      return element("span", { class: "hk-keyed" }, holder, word);
    });
    this.key.replaceChildren(...parts);
  }

  /**
   * Show how a section is computed; what is printed stays folded until it is answered.
   * @param {string} code
   * @param {string} prints
   * @returns {void}
   */
  compute(code, prints) {
    const typed = element("pre", {}, element("code", {}, code));
    const printed = prints
      ? element("pre", { class: "hk-prints" }, prints)
      : element("p", { class: "hk-note" }, "What it prints is shown once you have answered.");
    this.code.replaceChildren(typed, printed);
  }

  /**
   * Return the name of a part, as it is said.
   * @param {string} part
   * @returns {string}
   */
  nameOf(part) {
    const each = find(this.root, `[data-part="${part}"]`);
    return (each?.getAttribute("aria-label") ?? "").replace(/, (on|off|in the shape|earlier note)\b.*$/, "");
  }
}
