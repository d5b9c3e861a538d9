// The menu of a chord: it opens beside the chord, has the focus while it is open, and gives it back.

import { find, findAll } from "../kit/element.js";
import { focusOn } from "./parts.js";

const GAP = 6; // pixels below the chord

/** The menu, and the chord at which it is open. */
export class Menu {
  /**
   * @param {HTMLElement} root of the whole page
   * @param {() => void} close called when a person closes it
   */
  constructor(root, close) {
    this.root = root;
    this.close = close;
    /** The part at which it is, or was last. */
    this.spot = "";
    this.isOpen = false;
  }

  /** @returns {HTMLElement} the place of its HTML */
  get place() {
    return find(this.root, "[data-region=menu]");
  }

  /**
   * Show it after its HTML was put in, or take it away.
   * @returns {void}
   */
  update() {
    const menu = /** @type {HTMLElement | null} */ (this.place.querySelector(".hk-menu"));
    const was = this.isOpen;
    this.isOpen = Boolean(menu);
    if (menu) this.put(menu);
    if (menu && !was) {
      find(menu, "[data-do]:not([data-do=close])").focus({ preventScroll: true });
      menu.scrollIntoView({ block: "nearest" });
    }
    else if (!menu && was) this.giveBack();
  }

  /**
   * Put it below its chord, within the page.
   * @param {HTMLElement} menu
   * @returns {void}
   */
  put(menu) {
    const chord = this.chord;
    if (!chord) return;
    const over = /** @type {HTMLElement} */ (this.place.parentElement).getBoundingClientRect();
    const at = chord.getBoundingClientRect();
    const most = Math.max(0, over.width - menu.offsetWidth);
    menu.style.left = `${Math.min(Math.max(0, at.left - over.left), most)}px`;
    menu.style.top = `${at.bottom - over.top + GAP}px`;
  }

  /** @returns {HTMLElement | undefined} its chord, or another of the same place */
  get chord() {
    const [place, number] = this.spot.split("-", 2);
    const all = findAll(this.root, `[data-press^="${place}-${number}-"]`);
    return all.find((one) => one.dataset.press === this.spot) ?? all[0];
  }

  /**
   * Give the focus back to its chord.
   * @param {string} [spot] of another chord
   * @returns {void}
   */
  giveBack(spot = this.spot) {
    this.spot = spot;
    if (this.chord) focusOn(this.chord);
  }

  /**
   * Do what a key means in it.
   * @param {KeyboardEvent} event
   * @returns {boolean} whether it meant something
   */
  key(event) {
    if (!this.isOpen) return false;
    const inside = this.place.contains(/** @type {Node} */ (event.target));
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key] ?? 0;
    if (event.key === "Escape") this.close();
    else if (inside && step) this.go(step);
    else return false;
    event.preventDefault();
    event.stopPropagation();
    return true;
  }

  /**
   * Go on to another of its buttons.
   * @param {number} step
   * @returns {void}
   */
  go(step) {
    const all = findAll(this.place, "button");
    const now = all.indexOf(/** @type {HTMLElement} */ (document.activeElement));
    all[(now + step + all.length) % all.length]?.focus();
  }
}
