// A bar on the clock of the sound card, or what counts in before it; and which of its events are
// heard.

import { countIn } from "./form.js";
import { HIGH_CLICK, LOW_CLICK } from "./music.js";

const COUNTED = [112, 88]; // velocities

/** @typedef {import("./music.js").Sounded} Sounded */
/** @typedef {import("./form.js").Turn} Turn */

/**
 * A bar on the clock of the sound card, or the clicks that count in: from one place of the level to
 * another, `at` a moment.  What follows begins when `over` is reached; the last chord rings to `to`.
 * @typedef {object} Stretch
 * @property {number} from
 * @property {number} over
 * @property {number} to
 * @property {number} at
 * @property {number} rate 1 for the level's tempo
 * @property {Turn | null} turn none for what counts in, and for what is sung
 * @property {Sounded[]} list
 * @property {number} coming
 * @property {boolean} counts
 * @property {boolean} ends
 * @property {Set<string>} silent
 * @property {number[]} beats
 */

/**
 * Return which part an event belongs to; what is no part of its own goes with the strum.
 * @param {Sounded} event
 * @returns {string}
 */
function partOf([, , , string, kind]) {
  if (kind === "tone") return string === null ? "melody" : "strum";
  if (kind === "drum") return "percussion";
  return kind === "bass" || kind === "click" ? kind : "strum";
}

/**
 * Say whether an event is heard.
 * @param {Sounded} event
 * @param {Stretch} stretch
 * @returns {boolean}
 */
export function isHeard(event, { turn, silent, beats }) {
  const part = partOf(event);
  if (!turn) return true;
  if (part === "melody" && turn.opening) return false;
  if (part !== "click") return !turn.left && !silent.has(part);
  return !silent.has(part) && (!beats.length || beats.includes(event[3] ?? 0));
}

/**
 * Return the clicks that count in before a bar.
 * @param {import("./music.js").Level} level
 * @param {import("./form.js").Form} form
 * @param {number} bar
 * @param {number} at
 * @returns {Stretch}
 */
export function countingIn(level, form, bar, at) {
  const tempo = form.tempi[0];
  const [count, beat] = level.beats[bar];
  const { seconds, beats } = countIn(form, tempo, [count, beat]);
  const rate = tempo / 100;
  const over = level.bars[bar];
  const from = over - seconds * rate;
  const list = Array.from({ length: beats }, (_, index) => {
    const low = Number(index % count > 0);
    const block = low ? LOW_CLICK : HIGH_CLICK;
    const number = (index % count) + 1;
    return /** @type {Sounded} */ ([from + index * beat, 0.03, block, number, "click", COUNTED[low]]);
  });
  return { ...plain(list), from, over, to: over, at, rate, counts: true };
}

/**
 * Return a list that is sounded from its start to its end.
 * @param {Sounded[]} list
 * @param {number} seconds
 * @param {number} tempo per cent
 * @param {number} at
 * @returns {Stretch}
 */
export function listed(list, seconds, tempo, at) {
  return { ...plain(list), over: seconds, to: seconds, at, rate: tempo / 100, ends: true };
}

/**
 * Return what is no bar of the tune.
 * @param {Sounded[]} list
 * @returns {Stretch}
 */
function plain(list) {
  return {
    from: 0, over: 0, to: 0, at: 0, rate: 1, turn: null, list, coming: 0, counts: false,
    ends: false, silent: new Set(), beats: [],
  };
}
