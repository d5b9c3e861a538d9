// Plays a level as it is practised: the events that stand in the page, as plucked strings and
// clicks; shows the bar and the chord that sound, and a beat ahead those that come.

import { find, findAll, say } from "../kit/element.js";
import { lastAt, moveMark, showShape } from "../kit/step.js";
import { turnAfter } from "./form.js";
import { Loop } from "./loop.js";
import { music } from "./music.js";
import { Practise } from "./practise.js";
import { sound } from "./sound.js";
import { Track } from "./track.js";
import { voice } from "./voice.js";

const SOON = 0.7; // seconds of events handed to the sound card ahead of time
const SOON_UNSEEN = 2.5; // a page that is not seen is woken once a second
const FED_MS = 60;
const SLACK = 1e-4;
const AHEAD = 8; // bars that are looked through for the next chord
const still = matchMedia("(prefers-reduced-motion: reduce)");

/** @typedef {import("./track.js").Stretch} Stretch */

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
  /** @type {Seen} */
  seen = NOTHING;

  /** @param {HTMLElement} root of the level */
  constructor(root) {
    this.root = root;
    this.level = music.levels[Number(root.dataset.level)];
    this.starts = this.level.steps.map(([start]) => start);
    this.bar = findAll(root, ".bar");
    this.cell = findAll(root, ".cell");
    this.sung = findAll(root, ".sung");
    this.button = find(root, ".play");
    this.count = find(root, ".count");
    this.pace = find(root, ".pace");
    this.now = find(root, ".now");
    this.next = find(root, ".next");
    this.track = new Track(this.level, () => this.asked);
    this.practise = new Practise(root, () => this.changed(true), (line) => this.take(line), this.level.practice);
    this.loop = new Loop(root, () => this.seen.bar, () => this.changed(true));
    this.listen();
  }

  /**
   * Listen to buttons and parts.
   * @returns {void}
   */
  listen() {
    this.button.addEventListener("click", () => this.toggle());
    for (const from of findAll(this.root, ".from")) {
      from.addEventListener("click", () => this.playFrom(Number(from.dataset.bar)));
    }
    for (const part of this.practise.parts) {
      part.addEventListener("change", () => this.changed(false));
    }
    this.root.querySelector(".sing")?.addEventListener("click", () => this.sing());
    find(this.root, ".player").hidden = false;
  }

  /** @returns {import("./track.js").Asked} what is asked for now */
  get asked() {
    return { form: this.practise.form, order: this.order, silent: this.practise.silent };
  }

  /** @returns {import("./form.js").Order} which bar comes after which */
  get order() {
    const { span } = this.loop;
    const { bars, lead, room } = this.level;
    const [first, last] = span ?? [0, bars.length - 1];
    const all = Array.from({ length: last - first + 1 }, (_, index) => first + index);
    const again = span || room || lead < 0 ? all : all.filter((bar) => bar !== lead);
    return { first: all, again, lead: span ? -1 : lead, loop: span !== null, endless: span !== null };
  }

  /** @returns {Stretch[]} what was begun, and what comes soon */
  get stretches() {
    return this.track.stretches;
  }

  // What a person sets.

  /**
   * Play, or stop.
   * @returns {void}
   */
  toggle() {
    if (playing === this) this.stop();
    else this.start(() => this.track.begin(0, true));
  }

  /**
   * Play from a bar on; one that is not in the loop ends it.
   * @param {number} bar
   * @returns {void}
   */
  playFrom(bar) {
    if (!this.loop.has(bar)) this.loop.set(null);
    this.start(() => this.track.begin(this.order.first.indexOf(bar), false));
  }

  /**
   * Play what leading tones are sung over.
   * @returns {void}
   */
  sing() {
    const { leading } = this.level;
    if (!leading) return;
    const [tempo] = this.practise.form.tempi;
    this.start(() => this.track.beginList(leading.events, leading.seconds, tempo));
  }

  /**
   * Practise as the lesson's author wrote it.
   * @param {import("./music.js").Line} line
   * @returns {void}
   */
  take(line) {
    if (line.sing) this.sing();
    else this.loop.set(line.span);
  }

  /**
   * Go on from the next bar line as it is set now.
   * @param {boolean} afresh whether tempi and bars are counted from there
   * @returns {void}
   */
  changed(afresh) {
    if (playing !== this || !this.track.stretches.length) return;
    this.track.goOn(afresh);
    this.feed();
  }

  // Where it is.

  /** @returns {Stretch | undefined} the stretch that is heard now */
  get stretch() {
    return this.track.heard(sound.context ? sound.now : 0);
  }

  /** @returns {number} seconds from the first click, at the tempo of the list */
  get place() {
    if (!this.stretch) return 0;
    const { from, over, turn, ends } = this.stretch;
    const inside = this.inside(this.stretch);
    if (!turn || ends) return from + inside;
    // A bar that goes on otherwise stands where the chart has it.
    const begun = this.level.bars[turn.bar];
    return begun + (inside * (this.track.endOf(turn.bar) - begun)) / (over - from);
  }

  /**
   * Return how far into a stretch it is, in seconds of its list.
   * @param {Stretch} stretch
   * @returns {number}
   */
  inside({ from, to, at, rate }) {
    return Math.min(Math.max(sound.now - at, 0) * rate, to - from);
  }

  // Playing.

  /**
   * Begin to play; what sounds elsewhere stops.
   * @param {() => void} begin
   * @returns {Promise<void>}
   */
  async start(begin) {
    playing?.stop();
    sound.silence();
    playing = this;
    await sound.wake();
    if (playing !== this) return;
    begin();
    this.root.classList.add("playing");
    this.label("Stop");
    this.timer = setInterval(() => this.feed(), FED_MS);
    this.feed();
    this.draw();
  }

  /**
   * Stop all.
   * @returns {void}
   */
  stop() {
    clearInterval(this.timer);
    cancelAnimationFrame(this.frame ?? 0);
    this.track.stop();
    voice.stop();
    this.root.classList.remove("playing", "yours");
    this.label("Play");
    this.show(NOTHING);
    this.follow(-1);
    this.loop.show();
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
   * Hand on what sounds soon; stop when all is over.
   * @returns {void}
   */
  feed() {
    this.track.feed(sound.time + (document.hidden ? SOON_UNSEEN : SOON));
    if (this.stretch?.ends && this.place >= this.stretch.to) this.stop();
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
    const { place, stretch } = this;
    if (!stretch) return;
    if (!stretch.turn && !stretch.counts) {
      this.showSung(place);
      return;
    }
    const step = stretch.counts ? -1 : lastAt(this.starts, place + SLACK);
    const [next, ready] = this.after(step);
    const bar = step < 0 ? -1 : this.level.steps[step][2];
    this.show({ bar, step, next, comes: next >= 0 && place >= ready });
    this.beat(stretch);
    this.follow(stretch.counts ? -1 : place);
    this.root.classList.toggle("yours", stretch.turn?.left ?? false);
    say(find(this.now, "p"), stretch.turn?.left ? "your turn" : "now");
    const tempo = Math.round(stretch.rate * 100);
    say(this.pace, tempo === 100 ? "" : `${tempo} %`);
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
    this.note = note;
  }

  /**
   * Return the step that comes after one, and from where on it is shown: a beat before it sounds.
   * @param {number} step
   * @returns {[number, number]}
   */
  after(step) {
    const { stretch } = this;
    if (!stretch) return [-1, Infinity];
    const { steps, bars } = this.level;
    const { form, order } = this.asked;
    let turn = stretch.turn;
    let over = turn ? this.track.endOf(turn.bar) : stretch.over;
    if (turn && steps[step + 1]?.[2] === turn.bar) return [step + 1, steps[step + 1][1]];
    for (let count = 0; count < AHEAD; count += 1) {
      const next = turn ? turnAfter(form, order, turn) : this.track.following(stretch);
      if (!next) break;
      turn = next;
      const { bar } = next;
      const first = steps.findIndex((each) => each[2] === bar);
      if (first >= 0) return [first, over - bars[bar] + steps[first][1]];
      over += this.track.endOf(bar) - bars[bar];
    }
    return [-1, Infinity];
  }

  /**
   * Show the number of the beat.
   * @param {Stretch} stretch
   * @returns {void}
   */
  beat({ list, from, turn, counts }) {
    const place = from + (this.stretch ? this.inside(this.stretch) : 0);
    const clicks = list.filter(([, , , , kind]) => kind === "click");
    const last = lastAt(clicks.map(([onset]) => onset), place + 0.01);
    if (last >= 0) say(this.count, String(clicks[last][3]));
    else if (turn && turn.bar === this.level.lead) {
      // A pick-up holds the last beats of its bar.
      const [count, each] = this.level.beats[turn.bar];
      const before = count - (this.track.endOf(turn.bar) - from) / each;
      say(this.count, String(1 + Math.floor(before + (place - from + 0.01) / each)));
    } else if (counts) say(this.count, "");
  }

  /**
   * Mark in the chart, and show large, what sounds and what comes; tell what comes.
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
    this.keepInView(was.bar, now.comes ? this.level.steps[now.next][2] : now.bar);
    showShape(this.now, this.cell[now.step]);
    showShape(this.next, this.cell[now.next]);
    this.next.classList.toggle("comes", now.comes);
    if (now.comes && (!was.comes || was.next !== now.next)) this.tell(now);
  }

  /**
   * Tell the chord that comes, where that is asked for and it is another than the one that sounds.
   * @param {Seen} now
   * @returns {void}
   */
  tell({ step, next }) {
    const { names, steps, beats } = this.level;
    const how = this.practise.form.names;
    const time = this.stretch?.turn?.time ?? 0;
    const [name, root] = names[next];
    if (!how || (how === "once" && time > 0) || names[step]?.[0] === name) return;
    voice.tell(name, root, beats[steps[next][2]][1] / (this.stretch?.rate ?? 1));
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
    const covered = this.button.parentElement?.getBoundingClientRect().bottom ?? 0;
    if (item.top >= covered && item.bottom <= innerHeight) return;
    const behavior = still.matches ? "auto" : "smooth";
    this.bar[bar].scrollIntoView({ block: "center", behavior });
  }
}
