// The sounds of two ways: asked for, kept by their names, played alone or in turn, and followed in
// the chart.

import { Clip } from "../kit/clip.js";
import { find, findAll } from "../kit/element.js";
import { lastAt, showShape } from "../kit/step.js";

/** @typedef {"chosen" | "beside"} Name */

/**
 * When things begin, in seconds; a step has its start, when it is shown ahead, and its bar.
 * @typedef {object} Times
 * @property {number} seconds
 * @property {number[]} bars
 * @property {[number, number, number][]} steps
 * @property {number[]} turns where two ways change places when they are heard in turn
 */

/**
 * What a player has to do with the page.
 * @typedef {object} Around
 * @property {() => Partial<Record<Name, string>>} keys the names of the sounds that there may be
 * @property {(which: string, have: string[]) => void} ask for the sounds that are missing
 * @property {(trouble: string) => void} failed
 */

/** @type {Name[]} */
const BOTH = ["chosen", "beside"];
const NEAR = 1e-6;
const END = 0.05; // seconds before the end at which a sound counts as over
const LATE = 0.1; // seconds that the last turn is shorter, so as to change over in time

/**
 * Return the other one of two ways.
 * @param {Name} name
 * @returns {Name}
 */
function other(name) {
  return name === "chosen" ? "beside" : "chosen";
}

/**
 * Return the ways that are heard.
 * @param {string} which a way, or both
 * @returns {Name[]}
 */
function needs(which) {
  return which === "both" ? BOTH : [/** @type {Name} */ (which)];
}

/** Plays what is shown and what stands beside it. */
export class Player {
  /**
   * @param {HTMLElement} root of the whole page
   * @param {Around} around
   */
  constructor(root, around) {
    this.root = root;
    this.around = around;
    this.clips = { chosen: new Clip(), beside: new Clip() };
    root.append(this.clips.chosen.audio, this.clips.beside.audio);
    this.excerpt = new Clip();
    /** @type {Record<Name, {key: string, times: Times} | null>} */
    this.heard = { chosen: null, beside: null };
    /** @type {{which: string, bar: number} | null} */
    this.wanted = null;
    /** @type {{which: string, now: Name, turn: number, marked: string} | null} */
    this.playing = null;
    this.frame = 0;
  }

  /** @returns {boolean} whether something sounds or is to sound */
  get isOn() {
    return Boolean(this.playing || this.wanted);
  }

  // Sounds that are there.

  /**
   * Forget the sounds of what is no longer there.
   * @returns {void}
   */
  update() {
    const keys = this.around.keys();
    for (const name of BOTH) if (this.heard[name]?.key !== keys[name]) this.forget(name);
    for (const which of ["beside", "both"]) {
      /** @type {HTMLButtonElement} */ (this.find(`[data-play=${which}]`)).disabled = !keys.beside;
    }
  }

  /**
   * Forget one sound.
   * @param {Name} name
   * @returns {void}
   */
  forget(name) {
    if (!this.heard[name]) return;
    if (this.playing && (this.playing.now === name || this.playing.which === "both")) this.stop();
    this.clips[name].forget();
    this.heard[name] = null;
  }

  /**
   * Take a sound that was sent, and begin where it was waited for.
   * @param {{sound?: Name, key?: string, times?: Times}} message
   * @param {BlobPart[]} buffers
   * @returns {void}
   */
  take({ sound, key, times }, buffers) {
    if (String(sound) === "place") this.playExcerpt(buffers[0]);
    if (!sound || !key || !times || this.around.keys()[sound] !== key) return;
    this.forget(sound);
    this.heard[sound] = { key, times };
    this.clips[sound].take(buffers[0]);
    if (this.wanted && this.has(this.wanted.which)) this.begin(this.wanted);
    else if (this.playing) this.offerSwap();
  }

  /**
   * Play some bars that were sent, in place of what sounds.
   * @param {BlobPart} data
   * @returns {void}
   */
  playExcerpt(data) {
    this.stop();
    this.excerpt.take(data);
    const begun = (/** @type {number} */ seconds) => (this.root.dataset.excerpt = String(seconds));
    this.excerpt.play(0, begun, this.around.failed);
  }

  /**
   * Say whether all is there that one wants to hear.
   * @param {string} which
   * @returns {boolean}
   */
  has(which) {
    return needs(which).every((name) => this.heard[name]);
  }

  /**
   * Ask for the sounds that are missing, that which is to be heard first.
   * @param {string} which
   * @returns {void}
   */
  ask(which) {
    const have = BOTH.flatMap((name) => this.heard[name]?.key ?? []);
    this.around.ask(which, have);
  }

  // Playing.

  /**
   * Play from a bar on, once the sound is there.
   * @param {string} which a way, or both in turn
   * @param {number} bar counted from 0
   * @returns {void}
   */
  play(which, bar) {
    this.stop();
    this.wanted = { which, bar };
    if (this.has(which)) {
      this.begin(this.wanted);
      // The other one is made meanwhile, so that one can change over.
      if (this.around.keys().beside && !this.has("both")) this.ask(which);
      return;
    }
    this.root.dataset.sound = "asked";
    this.label(which, "Preparing the sound …");
    this.ask(which);
  }

  /**
   * Begin to play what is there.
   * @param {{which: string, bar: number}} wanted
   * @returns {void}
   */
  begin({ which, bar }) {
    this.wanted = null;
    const [now] = needs(which);
    const times = this.timesOf(now);
    const start = bar ? times.bars[bar] : 0;
    const turn = Math.max(lastAt(times.turns, start + NEAR), 0);
    this.playing = { which, now, turn, marked: "" };
    this.sound(now, start);
  }

  /**
   * Let a way sound from a time on, in the place of the other one.
   * @param {Name} name
   * @param {number} time
   * @returns {void}
   */
  sound(name, time) {
    if (!this.playing) return;
    this.clips[this.playing.now].audio.pause();
    this.playing = { ...this.playing, now: name, marked: "" };
    // It may be forgotten before the browser has begun.
    const { seconds } = this.timesOf(name);
    const begun = () => (this.root.dataset.sound = String(seconds));
    this.clips[name].play(time, begun, this.around.failed);
    this.root.classList.add("hk-playing");
    this.find(".hk-now").hidden = false;
    this.offerSwap();
    this.label(this.playing.which, "Stop");
    cancelAnimationFrame(this.frame);
    this.frame = requestAnimationFrame(() => this.follow());
  }

  /**
   * Stop all.
   * @returns {void}
   */
  stop() {
    if (this.playing) this.clips[this.playing.now].audio.pause();
    this.excerpt.audio.pause();
    this.playing = null;
    this.wanted = null;
    cancelAnimationFrame(this.frame);
    this.unmark();
    this.root.classList.remove("hk-playing");
    this.find(".hk-now").hidden = true;
    this.find("[data-swap]").hidden = true;
    this.label("", "");
  }

  /**
   * Change over to the other way at the same place.
   * @returns {void}
   */
  swap() {
    if (!this.playing || !this.heard[other(this.playing.now)]) return;
    const { which, now } = this.playing;
    const { currentTime } = this.clips[now].audio;
    if (which !== "both") this.playing.which = other(now);
    this.sound(other(now), currentTime);
  }

  // Following.

  /**
   * Mark the chord that sounds, and a beat before it comes the next one.
   * @returns {void}
   */
  follow() {
    if (!this.playing) return;
    const { now, which } = this.playing;
    const { audio } = this.clips[now];
    const times = this.timesOf(now);
    const time = audio.currentTime;
    if (time >= times.seconds - END || audio.ended) this.stop();
    else if (which !== "both" || !this.takesTurns(times, time)) {
      this.mark(times, time);
      this.frame = requestAnimationFrame(() => this.follow());
    }
  }

  /**
   * Let the ways take turns.
   * @param {Times} times
   * @param {number} time
   * @returns {boolean} whether they changed places
   */
  takesTurns({ turns, seconds }, time) {
    const { playing } = this;
    if (!playing || time < (turns[playing.turn + 1] ?? seconds - LATE)) return false;
    if (playing.now === "chosen") {
      this.sound("beside", playing.turn ? turns[playing.turn] : 0);
      return true;
    }
    playing.turn += 1;
    if (playing.turn < turns.length) this.sound("chosen", turns[playing.turn]);
    else this.stop();
    return true;
  }

  /**
   * Mark what sounds at a time, unless it is marked.
   * @param {Times} times
   * @param {number} time
   * @returns {void}
   */
  mark({ steps }, time) {
    const step = lastAt(steps.map(([start]) => start), time);
    const comes = step + 1 < steps.length && steps[step + 1][1] <= time;
    const marked = `${step}${comes}`;
    if (!this.playing || marked === this.playing.marked) return;
    this.playing.marked = marked;
    const isNewBar = step === 0 || steps[step]?.[2] !== steps[step - 1]?.[2];
    this.show(step, comes, isNewBar);
  }

  /**
   * Show a step as the one that sounds, and the next one where it comes.
   * @param {number} step
   * @param {boolean} comes
   * @param {boolean} isNewBar whether its bar is to be brought into sight
   * @returns {void}
   */
  show(step, comes, isNewBar) {
    this.unmark();
    this.root.dataset.step = String(step);
    const [cell, next] = [this.cellOf(step), this.cellOf(step + 1)];
    const bar = /** @type {HTMLElement | null} */ (cell?.closest(".bar") ?? null);
    for (const each of [cell, bar]) each?.classList.add("sounds");
    if (comes) next?.classList.add("comes");
    if (bar && isNewBar) this.bringIntoSight(bar);
    const [first, second] = findAll(this.root, ".hk-now > div");
    showShape(first, cell);
    showShape(second, next);
    second.classList.toggle("comes", comes);
    const name = this.playing?.now === "beside" ? "beside: " : "";
    const number = bar && find(bar, ".from").textContent;
    this.find(".hk-where").textContent = name + (bar ? `bar ${number}` : "count-in");
  }

  /**
   * Take all marks away.
   * @returns {void}
   */
  unmark() {
    for (const each of findAll(this.root, ".sounds, .comes")) {
      each.classList.remove("sounds", "comes");
    }
    delete this.root.dataset.step;
  }

  /**
   * Scroll so far that a bar is seen whole.
   * @param {HTMLElement} bar
   * @returns {void}
   */
  bringIntoSight(bar) {
    bar.scrollIntoView({ block: "nearest" });
  }

  // Small things.

  /**
   * Find an element of the page.
   * @param {string} query
   * @returns {HTMLElement}
   */
  find(query) {
    return find(this.root, query);
  }

  /**
   * Return the times of a way that is there.
   * @param {Name} name
   * @returns {Times}
   */
  timesOf(name) {
    return /** @type {{times: Times}} */ (this.heard[name]).times;
  }

  /**
   * Return the cell of a step of the way that sounds.
   * @param {number} step
   * @returns {HTMLElement | null}
   */
  cellOf(step) {
    return this.root.querySelector(`[data-way="${this.playing?.now}"] [data-step="${step}"]`);
  }

  /**
   * Say on a button what it does now; the others say what they always do.
   * @param {string} which
   * @param {string} words
   * @returns {void}
   */
  label(which, words) {
    for (const each of findAll(this.root, "[data-play]")) {
      each.dataset.label ??= each.textContent ?? "";
      each.textContent = each.dataset.play === which ? words : each.dataset.label;
    }
  }

  /**
   * Offer to change over where both are there.
   * @returns {void}
   */
  offerSwap() {
    this.find("[data-swap]").hidden = !this.has("both");
  }

  /**
   * End all, and give the sounds back.
   * @returns {void}
   */
  end() {
    this.stop();
    this.excerpt.forget();
    for (const name of BOTH) this.forget(name);
  }
}
