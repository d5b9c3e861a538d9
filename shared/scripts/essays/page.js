// An essay without a kernel: its panels go from state to state, all computed beforehand.

import { element, findAll } from "../kit/element.js";
import { sound } from "../page/sound.js";
import { mixed, wavOf } from "./wave.js";

const FURTHER = "This page goes no further there. Press something else, or go back to the beginning.";
const AGAIN = { id: "again", kind: "button", label: "Back to the beginning" };

/** @typedef {Record<string, any>} Values */

/**
 * What a panel can show, as it was computed.
 * @typedef {object} Told
 * @property {string} view
 * @property {Values} first
 * @property {Values[]} states each without what it has in common with the first
 * @property {Record<string, any>[]} moves where each leads; of a state what is other than in the first,
 *   or all; below zero, what is said in its place
 * @property {Record<string, number>} [asked] the numbers of moves
 * @property {any[]} [looks] to which states refer by their place
 * @property {string[]} [said]
 * @property {number[][][]} sounds of each state, or of each place that is heard
 * @property {string[]} [scenes] pictures, to which states refer by their place
 * @property {string[]} [pictures]
 * @property {string[]} [facts]
 * @property {number} [at]
 * @property {string} [group] of panels that answer together
 */

/** @type {Record<string, {render: (given: object) => void}>} */
const views = {};
Object.assign(globalThis, { views });

/** @type {Record<string, Replay[]>} */
const groups = {};

/** What a view takes for its kernel. */
export class Replay {
  /** @param {Told} told */
  constructor(told) {
    this.told = told;
    this.at = 0;
    /** @type {Values} */
    this.values = { ...told.first, ...(told.asked && whole(told, 0)) };
    /** @type {[string, Function][]} */
    this.listeners = [];
    this.together = told.group ? (groups[told.group] ??= []) : [];
    this.together.push(this);
  }

  /**
   * @param {string} name
   * @returns {any}
   */
  get(name) {
    return this.values[name];
  }

  /**
   * @param {string} name
   * @param {Function} listener
   */
  on(name, listener) {
    this.listeners.push([name, listener]);
  }

  /**
   * @param {string} name
   * @param {Function} gone
   */
  off(name, gone) {
    this.listeners = this.listeners.filter(([each, one]) => each !== name || one !== gone);
  }

  /**
   * @param {string} name
   * @param {...any} given
   */
  tell(name, ...given) {
    for (const [each, listener] of [...this.listeners]) if (each === name) listener(...given);
  }

  /**
   * Do what a kernel would do with a message.
   * @param {{press?: string, set?: string, value?: string | boolean, hear?: number}} message
   * @returns {void}
   */
  send({ press, set, value = "", hear }) {
    this.tell("msg:custom", { answered: true }, []);
    if (hear !== undefined) this.sound(this.told.sounds[hear] ?? [], hear);
    else if (set === AGAIN.id) this.lead(0);
    else if (set === "hear") this.sound(this.told.sounds[this.at] ?? [], 0);
    else this.go((press === undefined ? `set ${set} ${pythonic(value)}` : `press ${press}`).trim());
  }

  /**
   * Go where a move leads, or say that it is not here.
   * @param {string} move
   * @returns {void}
   */
  go(move) {
    const next = led(this.told, this.at, move);
    const trouble = next === undefined ? FURTHER : this.told.said?.[-1 - next];
    if (next === undefined || trouble) this.take({ shown: { ...this.values.shown, trouble } });
    else this.lead(next);
  }

  /**
   * Take on a state, with all panels that answer together.
   * @param {number} at
   * @returns {void}
   */
  lead(at) {
    for (const each of this.together) each.stand(at);
  }

  /**
   * Take on a state.
   * @param {number} at
   * @returns {void}
   */
  stand(at) {
    this.at = at;
    this.take(whole(this.told, at));
  }

  /**
   * Take on values, and tell of those that are others.
   * @param {Values} values
   * @returns {void}
   */
  take(values) {
    const before = this.values;
    this.values = { ...before, ...values };
    for (const name of ["scene", "shown", "controls"]) {
      if (this.values[name] !== before[name]) this.tell(`change:${name}`);
    }
  }

  /**
   * Send a sound.
   * @param {number[][]} chords
   * @param {number} place
   * @returns {Promise<void>}
   */
  async sound(chords, place) {
    if (!chords.length || !("AudioContext" in window)) return;
    await sound.wake();
    const made = mixed(chords);
    const message = { sound: made.samples.length / made.rate, place };
    this.tell("msg:custom", message, [wavOf(made)]);
  }
}

/**
 * Return a value as Python writes it, for truth has another name there.
 * @param {string | boolean} value
 * @returns {string}
 */
function pythonic(value) {
  return value === true ? "True" : value === false ? "False" : value;
}

/**
 * Return where a move leads from a state, if it leads anywhere.
 * @param {Told} told
 * @param {number} at
 * @param {string} move
 * @returns {number | undefined}
 */
function led({ moves, asked = {} }, at, move) {
  const number = asked[move] ?? -1;
  const { all, ...other } = moves[at] ?? {};
  return { ...(all ?? moves[0]), ...other }[number] ?? undefined;
}

/**
 * Return a state with what it has in common with the first one, and what leads nowhere from there.
 * @param {Told} told
 * @param {number} at
 * @returns {Values}
 */
export function whole(told, at) {
  const { states, looks = [], scenes = [] } = told;
  const [first] = states;
  const leads = (/** @type {string} */ move) => led(told, at, move) !== undefined;
  const { controls, scene, facts, lead } = { ...first, ...states[at] };
  const numbers = Object.entries({ ...first.looks, ...states[at].looks });
  const shown = {
    looks: Object.fromEntries(numbers.map(([part, number]) => [part, looks[number]])),
    lines: { ...first.lines, ...states[at].lines },
    open: numbers.map(([part]) => part).filter((part) => leads(`press ${part}`)),
    facts,
    lead,
    trouble: "",
  };
  const offered = controls.map((/** @type {Values} */ each) => offeredOf(each, leads));
  return { scene: scenes[scene], controls: [...offered, { ...AGAIN, off: at === 0 }], shown };
}

/**
 * Return a control with what it cannot do here.
 * @param {Values} control
 * @param {(move: string) => boolean} leads whether a move leads somewhere
 * @returns {Values}
 */
function offeredOf(control, leads) {
  const { id, kind, value, options } = control;
  const to = (/** @type {string | boolean} */ next) => leads(`set ${id} ${pythonic(next)}`.trim());
  if (kind === "choice") return { ...control, shut: options.filter((/** @type {string} */ each) => !to(each)) };
  if (id === "hear") return control;
  return { ...control, off: !to(kind === "check" ? !value : "") };
}

/**
 * Make a slider that turns a set on the clock.
 * @param {Told} told
 * @param {HTMLElement} place
 * @returns {void}
 */
function turns({ pictures = [], facts = [], at = 0 }, place) {
  const figure = element("div", { class: "figure" });
  const said = element("p", { role: "status" });
  const last = String(pictures.length - 1);
  const label = element("label", {}, "Turn by semitones");
  const slider = element("input", { type: "range", min: "0", max: last, value: String(at) });
  label.append(slider);
  const show = () => {
    figure.innerHTML = pictures[Number(slider.value)];
    said.textContent = facts[Number(slider.value)];
  };
  slider.addEventListener("input", show);
  place.append(label, figure, said);
  show();
}

/**
 * Let what scrolls sideways be reached by the keyboard, and only that.
 * @returns {void}
 */
function reachFrames() {
  const watch = new ResizeObserver((seen) => {
    for (const { target } of seen) {
      if (target.scrollWidth > target.clientWidth + 1) target.setAttribute("tabindex", "0");
      else target.removeAttribute("tabindex");
    }
  });
  for (const frame of findAll(document, ".scroll, .hk-figure")) watch.observe(frame);
}

document.addEventListener("DOMContentLoaded", () => {
  /** @type {Told[]} */
  const panels = JSON.parse(document.getElementById("panels")?.textContent ?? "[]");
  findAll(document, "[data-panel]").forEach((place, n) => {
    const told = panels[n];
    if (told.view === "turns") turns(told, place);
    else views[told.view].render({ model: new Replay(told), el: place });
  });
  reachFrames();
});
