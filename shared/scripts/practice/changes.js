// Changes of shapes on the page: two shapes, a loop to play along with, then how it went.

import { button, element } from "../kit/element.js";
import { HIGH_CLICK, LOW_CLICK } from "../page/music.js";
import { sound } from "../page/sound.js";
import { book } from "./book.js";
import { hush } from "./chords.js";
import { drawShape } from "./draw.js";
import { dayOf } from "./memory.js";
import { nextButton } from "./parts.js";
import { framed } from "./places.js";
import { afterRound, changesInTurn, LOOP_BEATS, LOOP_TURNS, movedTempo, neverPractised, nextTempo, standingOf } from "./tempo.js";

/** @typedef {import("./book.js").Change} Change */

const TEMPO_STEP = 4;

const LOOP_AFTER = 0.15; // seconds until the first click
const STRUM_APART = 0.012;
const LAST_RING = 0.8;
const FIRST_LOUD = 90;
const OTHERS_LOUD = 70;
const CARE = "Rest between rounds. Stop if it hurts; if pain, numbness or tingling lasts, see a doctor.";

/**
 * Sound the loop: a bar of clicks, then a bar of each shape in turn.
 * @param {Change} change
 * @param {number} tempo
 * @returns {{start: number, beat: number, beats: number}}
 */
function soundLoop({ pitches }, tempo) {
  const beat = 60 / tempo;
  const start = sound.time + LOOP_AFTER;
  const beats = (1 + 2 * LOOP_TURNS) * LOOP_BEATS;
  for (let n = 0; n < beats; n++) {
    const [at, first, last] = [start + n * beat, n % LOOP_BEATS === 0, n === beats - 1];
    const loud = first ? FIRST_LOUD : OTHERS_LOUD;
    sound.strummed.push(sound.play("click", first ? HIGH_CLICK : LOW_CLICK, loud, at, 0.05));
    if (n < LOOP_BEATS) continue;
    const shape = pitches[(Math.floor(n / LOOP_BEATS) - 1) % 2];
    shape.forEach(([midi, string], k) => {
      const late = k * STRUM_APART;
      const long = beat + (last ? LAST_RING : 0) - late;
      sound.strummed.push(sound.play("tone", midi, loud, at + late, long, string));
    });
  }
  return { start, beat, beats };
}

/** The desk for changes, in the place of the questions. */
export class ChangeDesk {
  /**
   * @param {{show: (state: string, parts: (Node | string)[], focused?: HTMLElement | null) => void,
   *   kept: import("./memory.js").Kept, save: () => void, back: () => void}} desk
   */
  constructor(desk) {
    this.desk = desk;
    this.number = 0;
    this.tempo = 0;
    this.playing = 0;
    this.heard = 0; // ms that the loop was heard since something was last said of it
  }

  /** @returns {Change} */
  get change() {
    return book.changes[this.number];
  }

  /** @returns {import("./tempo.js").Practised} */
  get practised() {
    return this.desk.kept.changes[this.change.id] ?? neverPractised();
  }

  /**
   * Show the change that is next.
   * @returns {void}
   */
  begin() {
    const rows = book.changes.map(({ id }) => this.desk.kept.changes[id]);
    this.take(changesInTurn(rows)[0]);
  }

  /**
   * Show a change.
   * @param {number} number
   * @returns {void}
   */
  take(number) {
    this.number = number;
    this.tempo = nextTempo(this.practised.rounds);
    this.heard = 0;
    this.show();
  }

  /**
   * Show how all stands.
   * @param {string} [said] what was just said
   * @returns {void}
   */
  show(said = "") {
    this.stop();
    const play = nextButton("Play the loop", () => this.toggle(play));
    const told = this.toldRow();
    this.desk.show("changing", [
      element("p", { class: "about" }, "A change of shapes"),
      element("h1", {}, this.change.say),
      this.shapes(),
      this.tempoLine(),
      element("p", { class: "counted", role: "status" }, said || "A bar of clicks, then a bar of each chord, four times. Play along."),
      ...(told ? [told] : []),
      element("p", {}, standingOf(this.practised, dayOf(Date.now()))),
      this.rounds(),
      element("p", { class: "note" }, CARE),
      element("div", { class: "foot" }, play, this.others()),
    ], told ? told.querySelector("button") : play);
  }

  /** @returns {HTMLElement} the two shapes side by side */
  shapes() {
    const sides = [this.change.before, this.change.after].map((each) => {
      const name = element("p", { class: "whose" }, each.name ?? "");
      return element("div", { class: "side" }, name, framed(drawShape(each, { wide: 40, alt: `${each.name}: ${each.say}` })), element("p", { class: "note" }, each.say ?? ""));
    });
    return element("div", { class: "sides pairs" }, ...sides);
  }

  /** @returns {HTMLElement} */
  tempoLine() {
    const by = (/** @type {number} */ step) => () => {
      this.tempo = movedTempo(this.tempo, step);
      this.heard = 0;
      this.show();
    };
    return element("div", { class: "tempo" },
      button("Slower", by(-TEMPO_STEP), { class: "plain" }),
      element("p", {}, element("b", {}, String(this.tempo)), " quarter notes a minute"),
      button("Faster", by(TEMPO_STEP), { class: "plain" }),
    );
  }

  /** @returns {HTMLElement | null} how it went, once it was heard */
  toldRow() {
    if (!this.heard) return null;
    const told = (/** @type {boolean} */ clean) => () => this.told(clean);
    return element("div", { class: "offers" }, button("It was clean", told(true)), button("Not yet", told(false)));
  }

  /** @returns {HTMLElement | string} the last rounds, as a row */
  rounds() {
    const { rounds } = this.practised;
    if (!rounds.length) return "";
    const items = rounds.map(([tempo, clean]) =>
      element("li", { class: clean ? "clean" : "open" }, String(tempo), element("span", { class: "unseen" }, clean ? ", clean" : ", not yet clean")),
    );
    return element("ol", { class: "rounds", "aria-label": "your last rounds, at their tempo" }, ...items);
  }

  /** @returns {HTMLElement} */
  others() {
    const field = element("select", { id: "change" }, ...book.changes.map(({ label }, n) => element("option", { value: String(n) }, label)));
    field.value = String(this.number);
    field.addEventListener("change", () => this.take(Number(field.value)));
    return element("div", { class: "results-line" },
      element("p", {}, element("label", { for: "change" }, "Another change "), field),
      button("Back to the questions", () => this.leave(), { class: "plain" }),
    );
  }

  /**
   * Play the loop, or stop it.
   * @param {HTMLButtonElement} play
   * @returns {Promise<void>}
   */
  async toggle(play) {
    if (this.playing) {
      this.ended(false);
      return;
    }
    await sound.wake();
    hush();
    const loop = soundLoop(this.change, this.tempo);
    play.textContent = "Stop";
    this.began = sound.time;
    this.playing = requestAnimationFrame(() => this.follow(loop));
  }

  /**
   * Show where the loop is, until it is over.
   * @param {{start: number, beat: number, beats: number}} loop
   * @returns {void}
   */
  follow(loop) {
    const n = Math.floor((sound.now - loop.start) / loop.beat);
    if (n >= loop.beats) {
      this.ended(true);
      return;
    }
    const bar = Math.floor(n / LOOP_BEATS);
    const name = [this.change.before, this.change.after][(bar + 1) % 2].name;
    const line = document.querySelector(".counted");
    const text = n < 0 ? "" : `${bar ? name : "Count in"}: ${(n % LOOP_BEATS) + 1}`;
    if (line && line.textContent !== text) {
      line.removeAttribute("role"); // a beat is not read aloud
      line.textContent = text;
    }
    this.playing = requestAnimationFrame(() => this.follow(loop));
  }

  /**
   * Ask how it went, once some of it was played.
   * @param {boolean} whole
   * @returns {void}
   */
  ended(whole) {
    const ms = 1000 * (sound.time - (this.began ?? 0));
    const least = (60_000 / this.tempo) * LOOP_BEATS * 3;
    if (whole || ms > least) this.heard += ms;
    this.show(this.heard ? "How did it go? It was clean if every note sounded, in time." : "");
  }

  /**
   * Keep how a round went.
   * @param {boolean} clean
   * @returns {void}
   */
  told(clean) {
    const { kept } = this.desk;
    const day = dayOf(Date.now());
    kept.changes[this.change.id] = afterRound(this.practised, { tempo: this.tempo, clean, day, ms: this.heard });
    kept.ms += this.heard;
    this.desk.save();
    const before = this.tempo;
    this.heard = 0;
    this.tempo = nextTempo(this.practised.rounds);
    const onward = this.tempo === before ? "Once more like this leads to a faster one." : `The next round is at ${this.tempo}.`;
    this.show(onward);
  }

  /**
   * Stop what sounds.
   * @returns {void}
   */
  stop() {
    cancelAnimationFrame(this.playing);
    this.playing = 0;
    hush();
  }

  /**
   * Go back to the questions.
   * @returns {void}
   */
  leave() {
    this.stop();
    this.desk.back();
  }
}
