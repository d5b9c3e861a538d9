// What is seen while a level sounds: the bar and the chord that sound, and a beat ahead those that
// come; marked in the chart, and large above it.

import { find, findAll, say } from "../kit/element.js";
import { lastAt, moveMark, showShape } from "../kit/step.js";

/** @typedef {import("./stretch.js").Stretch} Stretch */

const still = matchMedia("(prefers-reduced-motion: reduce)");

/**
 * What is shown: bar and step that sound, the step that is next, whether it comes; -1 for none.
 * @typedef {object} Seen
 * @property {number} bar
 * @property {number} step
 * @property {number} next
 * @property {boolean} comes
 */

const TIMES = ["", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"];
/** Over a bar its mark has so many pixels. */
export const MARK = 9;
export const NOTHING = { bar: -1, step: -1, next: -1, comes: false };

/** Shows a level. */
export class Screen {
  note = -1;
  /** @type {Seen} */
  seen = NOTHING;

  /**
   * @param {HTMLElement} root of the level
   * @param {import("./music.js").Level} level
   */
  constructor(root, level) {
    this.root = root;
    this.level = level;
    const { bars, steps, notes } = level.places;
    const [bar, cell, sung] = [".bar", ".cell", ".sung"].map((kind) => findAll(root, kind));
    // A bar, a chord or a note that is played stands where the page has it: some stand for several.
    this.bar = bars.map((place) => bar[place]);
    this.cell = steps.map((place) => cell[place]);
    this.sung = notes.map(([place]) => sung[place]);
    this.words = notes.map(([place, line]) => findAll(sung[place] ?? root, "i")[line]);
    this.number = bars.map((_, index) => root.querySelector(`.from[data-bar="${index}"]`));
    this.count = find(root, ".count");
    this.now = find(root, ".now");
    this.next = find(root, ".next");
  }

  /**
   * Show what is to be sung.
   * @param {number} place
   * @returns {void}
   */
  showSung(place) {
    const words = this.level.leading?.words ?? [];
    const now = lastAt(words.map(([start]) => start), place);
    say(find(this.root, ".round"), words[Math.max(now, 0)][1]);
  }

  /**
   * Mark the note of the melody, with its word, that is sung now.
   * @param {number} place
   * @returns {void}
   */
  follow(place) {
    const note = place < 0 ? -1 : lastAt(this.level.sung, place);
    moveMark(this.sung, this.note, note, "sounds");
    moveMark(this.words, this.note, note, "sounds");
    this.note = note;
  }

  /**
   * Show the number of the beat.
   * @param {Stretch} stretch
   * @param {number} place in its list
   * @param {number} over where its bar ends in the chart
   * @returns {void}
   */
  beat({ list, from, turn, counts }, place, over) {
    const clicks = list.filter(([, , , , kind]) => kind === "click");
    const last = lastAt(clicks.map(([onset]) => onset), place + 0.01);
    if (last >= 0) say(this.count, String(clicks[last][3]));
    else if (turn && turn.bar === this.level.lead) {
      // A pick-up holds the last beats of its bar.
      const [count, each] = this.level.beats[turn.bar];
      const before = count - (over - from) / each;
      say(this.count, String(1 + Math.floor(before + (place - from + 0.01) / each)));
    } else if (counts) say(this.count, "");
  }

  /**
   * Mark in the chart, and show large, what sounds and what comes.
   * @param {Seen} now
   * @returns {boolean} whether another chord comes than came before
   */
  show(now) {
    const was = this.seen;
    if (JSON.stringify(was) === JSON.stringify(now)) return false;
    this.seen = now;
    moveMark(this.bar, was.bar, now.bar, "sounds");
    moveMark(this.number, was.bar, now.bar, "sounds");
    moveMark(this.bar, this.barAhead(was), this.barAhead(now), "comes");
    moveMark(this.cell, was.step, now.step, "sounds");
    moveMark(this.cell, was.comes ? was.next : -1, now.comes ? now.next : -1, "comes");
    this.keepInView(was.bar, now.comes ? this.level.steps[now.next][2] : now.bar);
    showShape(this.now, this.cell[now.step]);
    showShape(this.next, this.cell[now.next]);
    this.next.classList.toggle("comes", now.comes);
    return now.comes && (!was.comes || was.next !== now.next);
  }

  /**
   * Say which time a bar is played that the page has once; nothing the first time.
   * @param {number} bar
   * @returns {string}
   */
  time(bar) {
    const { bars } = this.level.places;
    const time = bars.slice(0, bar + 1).filter((place) => place === bars[bar]).length;
    return time > 1 ? `, ${TIMES[time] ?? `${time}th`} time` : "";
  }

  /**
   * Return the bar that is marked as coming, where it is another than the one that sounds.
   * @param {Seen} seen
   * @returns {number}
   */
  barAhead({ bar, next, comes }) {
    const ahead = comes ? this.level.steps[next][2] : -1;
    return ahead === bar ? -1 : ahead;
  }

  /**
   * Keep the bar that comes in view, unless the reader has gone elsewhere.
   * @param {number} old
   * @param {number} bar
   * @returns {void}
   */
  keepInView(old, bar) {
    const item = this.bar[bar]?.getBoundingClientRect();
    const before = this.bar[old]?.getBoundingClientRect();
    if (!item || (before && (before.bottom < 0 || before.top > innerHeight))) return;
    const player = find(this.root, ".player").getBoundingClientRect();
    // The player is above the window where the reader is below the chart.
    if (item.top >= Math.max(player.bottom, 0) && item.bottom <= innerHeight) return;
    const behavior = still.matches ? "auto" : "smooth";
    // A chart that is enlarged enlarges its margin too; over the bar its mark has room.
    const zoom = this.bar[bar].currentCSSZoom ?? 1;
    this.bar[bar].style.scrollMarginTop = `${player.height / zoom + MARK}px`;
    this.bar[bar].scrollIntoView({ block: "center", behavior });
  }
}
