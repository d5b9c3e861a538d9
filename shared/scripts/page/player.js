// Plays a level as it is practised: the events that stand in the page, as plucked strings and
// clicks; shows the bar and the chord that sound, and a beat ahead those that come.

import { find, findAll, say } from "../kit/element.js";
import { lastAt } from "../kit/step.js";
import { turnAfter } from "./form.js";
import { Loop } from "./loop.js";
import { music } from "./music.js";
import { Practise } from "./practise.js";
import { NOTHING, Screen } from "./screen.js";
import { sound } from "./sound.js";
import { Track } from "./track.js";
import { voice } from "./voice.js";

const SOON = 0.7; // seconds of events handed to the sound card ahead of time
const SOON_UNSEEN = 2.5; // a page that is not seen is woken once a second
const FED_MS = 60;
const SLACK = 1e-4;
const AHEAD = 8; // bars that are looked through for the next chord

/** @typedef {import("./stretch.js").Stretch} Stretch */

/** @type {Player | null} */
export let playing = null;

/** Plays a level. */
export class Player {
  /** @param {HTMLElement} root of the level */
  constructor(root) {
    this.root = root;
    this.level = music.levels[Number(root.dataset.level)];
    this.starts = this.level.steps.map(([start]) => start);
    this.button = find(root, ".play");
    this.pace = find(root, ".pace");
    this.screen = new Screen(root, this.level);
    this.track = new Track(this.level, () => this.asked);
    this.practise = new Practise(root, () => this.changed(true), (line) => this.take(line), this.level.practice);
    this.loop = new Loop(root, this.level.places.bars, () => this.screen.seen.bar, () => this.changed(true));
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
    for (const round of findAll(this.root, ".loop-now")) {
      round.hidden = false;
      round.addEventListener("click", () => this.playRound(round.dataset.loop ?? ""));
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
    const wanted = span ? 0 : this.practise.form.intro;
    const intro = wanted ? all.filter((bar) => bar !== lead).slice(-wanted) : [];
    const loop = span !== null;
    return { first: all, again, intro, lead: span ? -1 : lead, loop, endless: loop };
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
   * Play some bars round and round, and bring them into view: the button may stand far below them.
   * @param {string} bars the first and the last, such as "8-9"
   * @returns {Promise<void>}
   */
  async playRound(bars) {
    this.loop.choose(bars);
    await this.start(() => this.track.begin(0, true));
    if (playing === this && this.loop.span) this.screen.keepInView(-1, this.loop.span[0]);
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
    sound.setLoud(this.level.gain);
    begin();
    this.root.classList.add("playing");
    this.foldWays();
    this.label("Stop");
    this.timer = setInterval(() => this.feed(), FED_MS);
    this.feed();
    this.draw();
  }

  /**
   * Fold how it is practised where that, with what sounds now, would hide most of the chart.
   * @returns {void}
   */
  foldWays() {
    const ways = /** @type {HTMLDetailsElement} */ (find(this.root, ".practise"));
    const { height } = find(this.root, ".player").getBoundingClientRect();
    if (ways.open && height > innerHeight / 2) ways.open = false;
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
    this.screen.show(NOTHING);
    this.screen.follow(-1);
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
      this.screen.showSung(place);
      return;
    }
    const step = stretch.counts ? -1 : lastAt(this.starts, place + SLACK);
    const [next, ready] = this.after(step);
    const bar = step < 0 ? -1 : this.level.steps[step][2];
    const now = { bar, step, next, comes: next >= 0 && place >= ready };
    if (this.screen.show(now)) this.tell(now);
    const over = stretch.turn ? this.track.endOf(stretch.turn.bar) : stretch.over;
    this.screen.beat(stretch, stretch.from + this.inside(stretch), over);
    this.screen.follow(stretch.counts ? -1 : place);
    this.root.classList.toggle("yours", stretch.turn?.left ?? false);
    say(find(this.screen.now, "p"), (stretch.turn?.left ? "your turn" : "now") + this.screen.time(bar));
    const tempo = Math.round(stretch.rate * 100);
    say(this.pace, tempo === 100 ? "" : `${tempo} %`);
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
   * Tell the chord that comes, where that is asked for and it is another than the one that sounds.
   * @param {import("./screen.js").Seen} now
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
}
