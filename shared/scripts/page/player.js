// Plays a level, or some bars of it round and round: the events that stand in the page, as plucked
// strings and clicks; shows the bar and the chord that sound, and a beat ahead those that come.

import { find, findAll, say } from "../kit/element.js";
import { lastAt, moveMark, showShape } from "../kit/step.js";
import { Loop } from "./loop.js";
import { HIGH_CLICK, music } from "./music.js";
import { sound } from "./sound.js";

const SOON = 0.7; // seconds of events handed to the sound card ahead of time
const SOON_UNSEEN = 2.5; // a page that is not seen is woken once a second
const FED_MS = 60;
const BEGIN = 0.12; // seconds from the button to the first sound
const NEAR = 1e-4;
const still = matchMedia("(prefers-reduced-motion: reduce)");

/**
 * A stretch of a level: from one place of its list to another, `at` on the clock of the sound card.
 * The whole tune is one; a loop has one for each round, and before them the clicks that count it in.
 * @typedef {object} Stretch
 * @property {number} from
 * @property {number} to
 * @property {number} at
 * @property {boolean} [counts] whether it is the clicks that count in
 */

/**
 * What is shown: bar and step that sound, the step that is next, whether it comes; -1 for none.
 * @typedef {object} Seen
 * @property {number} bar
 * @property {number} step
 * @property {number} next
 * @property {boolean} comes
 */

const NOTHING = { bar: -1, step: -1, next: -1, comes: false };

/** @type {Player | null} */
export let playing = null;

/** Plays a level. */
export class Player {
  note = -1;
  rate = 1;
  coming = 0;
  /** @type {Set<string>} */
  silent = new Set();
  /** @type {Stretch[]} */
  stretches = [];
  /** @type {Map<AudioBufferSourceNode, number>} what is handed to the sound card, and its begin */
  sources = new Map();
  /** @type {Seen} */
  seen = NOTHING;

  /** @param {HTMLElement} root of the level */
  constructor(root) {
    this.root = root;
    this.level = music.levels[Number(root.dataset.level)];
    this.starts = this.level.steps.map(([start]) => start);
    this.clicks = this.level.events.filter(([, , , , kind]) => kind === "click");
    this.clickTimes = this.clicks.map(([onset]) => onset);
    this.bar = findAll(root, ".bar");
    this.cell = findAll(root, ".cell");
    this.sung = findAll(root, ".sung");
    this.button = find(root, ".play");
    this.count = find(root, ".count");
    this.now = find(root, ".now");
    this.next = find(root, ".next");
    this.loop = new Loop(root, () => this.seen.bar, () => this.loopChanged());
    this.listen();
  }

  /**
   * Listen to buttons, speeds and parts.
   * @returns {void}
   */
  listen() {
    this.button.addEventListener("click", () => this.toggle());
    for (const choice of this.inputs("radio")) {
      choice.addEventListener("change", () => this.setRate(Number(choice.value)));
    }
    for (const from of findAll(this.root, ".from")) {
      from.addEventListener("click", () => this.playFrom(Number(from.dataset.bar)));
    }
    for (const part of this.inputs("checkbox")) {
      if (!part.checked) this.silent.add(part.value);
      part.addEventListener("change", () => this.setPart(part.value, part.checked));
    }
    find(this.root, ".player").hidden = false;
  }

  /**
   * Return the fields of one type.
   * @param {string} type
   * @returns {HTMLInputElement[]}
   */
  inputs(type) {
    const found = findAll(this.root, `input[type=${type}]`);
    return found.map((each) => /** @type {HTMLInputElement} */ (each));
  }

  // What a person sets.

  /**
   * Play, or stop.
   * @returns {void}
   */
  toggle() {
    if (playing === this) this.stop();
    else if (this.loop.span) {
      this.start({ from: this.clickTimes[0], to: this.level.countIn, counts: true });
    } else this.playAll();
  }

  /**
   * Play from the first click to the end.
   * @returns {void}
   */
  playAll() {
    this.start({ from: 0, to: this.level.seconds });
  }

  /**
   * Play from a bar on; one that is not in the loop ends it.
   * @param {number} bar
   * @returns {void}
   */
  playFrom(bar) {
    if (!this.loop.has(bar)) this.loop.set(null);
    this.start({ from: this.level.bars[bar], to: this.until });
  }

  /**
   * Play at another speed.
   * @param {number} rate 1 for the tempo of the list
   * @returns {void}
   */
  setRate(rate) {
    const from = this.place;
    const counts = this.stretch?.counts;
    this.rate = rate;
    const to = counts ? this.level.countIn : this.until;
    if (playing === this) this.start({ from, to, counts });
  }

  /**
   * Let a part be heard or not: the click, the bass, the melody.
   * @param {string} part
   * @param {boolean} heard
   * @returns {void}
   */
  setPart(part, heard) {
    if (heard) this.silent.delete(part);
    else this.silent.add(part);
    if (playing === this && this.stretch && !this.stretch.counts) this.goOn();
  }

  /**
   * Go on with the loop as it is now.
   * @returns {void}
   */
  loopChanged() {
    const { span } = this.loop;
    if (playing !== this || !this.stretch) return;
    if (this.stretch.counts) {
      if (!span) this.playAll();
    } else if (span && (this.place < this.since || this.place >= this.until)) {
      this.start({ from: this.since, to: this.until });
    } else this.goOn();
  }

  // Where it is.

  /** @returns {number} where a loop begins in the list; without one, all of it */
  get since() {
    return this.loop.span ? this.level.bars[this.loop.span[0]] : 0;
  }

  /** @returns {number} where a loop ends in the list; without one, all of it */
  get until() {
    const { bars, end, seconds } = this.level;
    return this.loop.span ? (bars[this.loop.span[1] + 1] ?? end) : seconds;
  }

  /** @returns {Stretch | undefined} the stretch that is heard now */
  get stretch() {
    const now = sound.context ? sound.now : 0;
    return this.stretches.filter(({ at }) => at <= now).pop() ?? this.stretches[0];
  }

  /** @returns {Stretch} the stretch that was begun last */
  get last() {
    return this.stretches[this.stretches.length - 1];
  }

  /** @returns {number} seconds from the first click, at the tempo of the list */
  get place() {
    if (!this.stretch) return 0;
    const { from, to, at } = this.stretch;
    return Math.min(from + Math.max(sound.now - at, 0) * this.rate, to);
  }

  // Playing.

  /**
   * Begin to play a stretch; what sounds elsewhere stops.
   * @param {{from: number, to: number, counts?: boolean}} stretch
   * @returns {Promise<void>}
   */
  async start(stretch) {
    playing?.stop();
    sound.silence();
    playing = this;
    await sound.wake();
    if (playing !== this) return;
    this.go(stretch, sound.time + BEGIN);
    this.root.classList.add("playing");
    this.label("Stop");
    this.timer = setInterval(() => this.feed(), FED_MS);
    this.feed();
    this.draw();
  }

  /**
   * Play a stretch from a moment on.
   * @param {{from: number, to: number, counts?: boolean}} stretch
   * @param {number} at
   * @returns {void}
   */
  go(stretch, at) {
    this.stretches = [...this.stretches.slice(-2), { ...stretch, at }];
    this.seek(stretch.from);
  }

  /**
   * Find what comes first from a place on.
   * @param {number} place
   * @returns {void}
   */
  seek(place) {
    const found = this.level.events.findIndex(([onset]) => onset >= place - NEAR);
    this.coming = found < 0 ? this.level.events.length : found;
  }

  /**
   * Take back what has not begun to sound, and go on with the loop as it is now.
   * @returns {void}
   */
  goOn() {
    const now = sound.time;
    for (const [source, when] of this.sources) if (when > now) source.stop();
    this.stretches = this.stretches.filter(({ at }, index) => at <= now || index === 0);
    const stretch = this.last;
    stretch.to = this.until;
    this.seek(stretch.from + Math.max(now - stretch.at, 0) * this.rate);
    this.feed();
  }

  /**
   * Stop all.
   * @returns {void}
   */
  stop() {
    clearInterval(this.timer);
    cancelAnimationFrame(this.frame ?? 0);
    for (const source of this.sources.keys()) source.stop();
    this.sources.clear();
    this.root.classList.remove("playing");
    this.label("Play");
    this.show(NOTHING);
    this.sing(-1);
    this.stretches = [];
    playing = null;
  }

  /**
   * Say on the button what it does.
   * @param {string} word
   * @returns {void}
   */
  label(word) {
    find(this.button, "span").textContent = word;
  }

  /**
   * Hand on what sounds soon.
   * @returns {void}
   */
  feed() {
    const soon = sound.time + (document.hidden ? SOON_UNSEEN : SOON);
    for (;;) {
      const stretch = this.last;
      const onset = this.level.events[this.coming]?.[0] ?? Infinity;
      const over = onset > stretch.to - NEAR;
      if (over && !this.loop.span) break;
      const when = stretch.at + ((over ? stretch.to : onset) - stretch.from) / this.rate;
      if (when > soon) break;
      if (over) this.go({ from: this.since, to: this.until }, when);
      else this.hand(this.level.events[this.coming++], stretch, when);
    }
    if (!this.loop.span && this.place >= this.level.seconds) this.stop();
  }

  /**
   * Hand on one tone or click, where its part is heard.  What rings over the end of a round is over
   * where the next begins.
   * @param {import("./music.js").Sounded} event
   * @param {Stretch} stretch
   * @param {number} when
   * @returns {void}
   */
  hand([onset, length, midi, string, kind, velocity], { to, counts }, when) {
    const counted = kind === "click" && onset < this.level.countIn - NEAR;
    const part = kind === "tone" && string === null ? "melody" : kind;
    if (counts ? !counted : this.silent.has(part) && !counted) return;
    const seconds = Math.min(length, to - onset) / this.rate;
    const source = sound.play(kind, midi, velocity, when, seconds, string);
    this.sources.set(source, when);
    source.addEventListener("ended", () => this.sources.delete(source));
  }

  // Showing.

  /**
   * Show what is heard, again and again.
   * @returns {void}
   */
  draw() {
    if (playing !== this) return;
    this.look();
    this.frame = requestAnimationFrame(() => this.draw());
  }

  /**
   * Show what is heard now.
   * @returns {void}
   */
  look() {
    const place = this.place;
    const step = this.stretch?.counts ? -1 : lastAt(this.starts, place);
    const [next, ready] = this.after(step);
    const bar = step < 0 ? -1 : this.level.steps[step][2];
    this.show({ bar, step, next, comes: place >= ready });
    this.beat(place);
    this.sing(this.stretch && !this.stretch.counts ? place : -1);
  }

  /**
   * Mark the note of the melody, with its word, that is sung now.
   * @param {number} place
   * @returns {void}
   */
  sing(place) {
    const note = place < 0 ? -1 : lastAt(this.level.sung, place);
    moveMark(this.sung, this.note, note, "sounds");
    this.note = note;
  }

  /**
   * Return the step that comes after one, and from where on it is shown; a loop's last leads to its
   * first.
   * @param {number} step
   * @returns {[number, number]}
   */
  after(step) {
    const { steps } = this.level;
    const { to, counts } = this.stretch ?? { to: Infinity, counts: false };
    const { span } = this.loop;
    const onward = steps[step + 1];
    if (span && (counts || !onward || onward[0] > to - NEAR)) {
      const first = steps.findIndex(([, , bar]) => bar === span[0]);
      return [first, to - (steps[first][0] - steps[first][1])];
    }
    return onward ? [step + 1, onward[1]] : [-1, Infinity];
  }

  /**
   * Show the number of the beat, counted from the last high click.
   * @param {number} place
   * @returns {void}
   */
  beat(place) {
    const last = lastAt(this.clickTimes, place + 0.01);
    let first = last;
    while (first > 0 && this.clicks[first][2] !== HIGH_CLICK) first -= 1;
    say(this.count, last < 0 ? "" : String(last - first + 1));
  }

  /**
   * Mark in the chart, and show large, what sounds and what comes.
   * @param {Seen} now
   * @returns {void}
   */
  show(now) {
    const was = this.seen;
    if (JSON.stringify(was) === JSON.stringify(now)) return;
    this.seen = now;
    moveMark(this.bar, was.bar, now.bar, "sounds");
    moveMark(this.bar, this.barAhead(was), this.barAhead(now), "comes");
    moveMark(this.cell, was.step, now.step, "sounds");
    moveMark(this.cell, was.comes ? was.next : -1, now.comes ? now.next : -1, "comes");
    this.follow(was.bar, now.comes ? this.level.steps[now.next][2] : now.bar);
    showShape(this.now, this.cell[now.step]);
    showShape(this.next, this.cell[now.next]);
    this.next.classList.toggle("comes", now.comes);
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
  follow(old, bar) {
    const item = this.bar[bar]?.getBoundingClientRect();
    const before = this.bar[old]?.getBoundingClientRect();
    if (!item || (before && (before.bottom < 0 || before.top > innerHeight))) return;
    const covered = this.button.parentElement?.getBoundingClientRect().bottom ?? 0;
    if (item.top >= covered && item.bottom <= innerHeight) return;
    const behavior = still.matches ? "auto" : "smooth";
    this.bar[bar].scrollIntoView({ block: "center", behavior });
  }
}
