// How a level is practised: which bar comes after which, at which tempo, and what is left to the
// class.  The rules are those of harmonykit/sound/rehearsal.py and rehearsing.py: files and page lay
// the same bars in the same way.

/**
 * How it is practised, as a person sets it.
 * @typedef {object} Form
 * @property {number[]} tempi per cent, one after another
 * @property {number} times so often at each; 0 for once, or four times for short loops
 * @property {number} countIn bars; 0 for one, or two where one would be short
 * @property {number} intro bars before the whole tune
 * @property {number[]} beats on which the click is heard; none for all
 * @property {string} left "call and answer", "disappearing", or nothing
 * @property {string} names "once", "always", or nothing
 */

/**
 * The bars of the first time through and of every later one; which of them is a pick-up, or -1.
 * @typedef {object} Order
 * @property {number[]} first
 * @property {number[]} again
 * @property {number[]} intro the bars that are played once before all
 * @property {number} lead
 * @property {boolean} loop whether these are some bars of a tune, not all of it
 * @property {boolean} endless whether it goes on at the last tempo
 */

/**
 * A bar as it is played.
 * @typedef {object} Turn
 * @property {number} bar
 * @property {number} time which time through, counted from 0
 * @property {number} index its place in its time through; less than 0 in the intro
 * @property {number} place its place among all bars that count
 * @property {number} tempo per cent
 * @property {boolean} left
 * @property {boolean} named
 * @property {boolean} opening whether it belongs to the intro: the melody is silent
 */

/** @type {Form} */
export const PLAIN = { tempi: [100], times: 0, countIn: 0, intro: 0, beats: [], left: "", names: "" };
export const CALL = "call and answer";
export const FADE = "disappearing";
const LEAST_COUNT_IN = 2.5; // seconds: one bar of count-in if it lasts as long, else two
const SHORT = 4; // bars of a short loop
const OFTEN = 4; // times that it is played at each tempo
const CALLED = 4;
const EIGHT = 8;
const FADED = 4 * EIGHT;

/**
 * Return how often the bars are played at each tempo.
 * @param {Form} form
 * @param {Order} order
 * @returns {number}
 */
export function timesOf({ tempi, times, left }, { first, lead, loop }) {
  if (times) return times;
  const bars = first.filter((bar) => bar !== lead).length;
  const least = { [FADE]: FADED, [CALL]: CALLED }[left] ?? 0;
  return Math.max(loop && bars <= SHORT ? OFTEN : 1, Math.ceil(least / (bars * tempi.length)));
}

/**
 * Say whether the bar at a place is left to the class.
 * @param {string} left
 * @param {number} place
 * @returns {boolean}
 */
export function isLeft(left, place) {
  if (left === CALL) return place % CALLED >= CALLED / 2;
  return left === FADE && place % EIGHT >= EIGHT - (place < 2 * EIGHT ? 2 : 4);
}

/**
 * Return a bar at its place, or nothing where all is over.
 * @param {Form} form
 * @param {Order} order
 * @param {{time: number, index: number, place: number}} where
 * @returns {Turn | null}
 */
export function turnAt(form, order, { time, index, place }) {
  const bars = time ? order.again : order.first;
  const step = Math.floor(time / timesOf(form, order));
  if (step >= form.tempi.length && !order.endless) return null;
  const tempo = form.tempi[Math.min(step, form.tempi.length - 1)];
  const named = form.names === "always" || (form.names === "once" && time === 0);
  const opening = index < 0;
  const bar = opening ? order.intro[order.intro.length + index] : bars[index];
  const left = !opening && isLeft(form.left, place);
  return { bar, time, index, place, tempo, left, named, opening };
}

/**
 * Return the bar with which all begins, the intro's first where there is one.
 * @param {Form} form
 * @param {Order} order
 * @returns {Turn | null}
 */
export function firstTurn(form, order) {
  return turnAt(form, order, { time: 0, index: -order.intro.length, place: 0 });
}

/**
 * Say whether a bar goes on into the next as in the tune, both of them heard.
 * @param {Turn | null} turn
 * @param {Turn | null} after
 * @returns {boolean}
 */
export function leadsOn(turn, after) {
  return !!turn && !!after && !turn.left && !after.left && after.bar === turn.bar + 1;
}

/**
 * Return the bar that comes after another, or nothing where all is over.
 * @param {Form} form
 * @param {Order} order
 * @param {Turn} turn
 * @returns {Turn | null}
 */
export function turnAfter(form, order, { bar, time, index, place }) {
  const over = index + 1 >= (time ? order.again : order.first).length;
  return turnAt(form, order, {
    time: over ? time + 1 : time,
    index: over ? 0 : Math.max(index + 1, -order.intro.length),
    place: place + Number(index >= 0 && bar !== order.lead),
  });
}

/**
 * Return all bars, of what is not endless.
 * @param {Form} form
 * @param {Order} order
 * @returns {Turn[]}
 */
export function turnsOf(form, order) {
  const found = [];
  for (
    let turn = firstTurn(form, order);
    turn;
    turn = turnAfter(form, order, turn)
  ) {
    found.push(turn);
  }
  return found;
}

/**
 * Return the seconds of the count-in, and how many beats that is.
 * @param {Form} form
 * @param {number} tempo per cent
 * @param {[number, number]} bar how many beats it has, and the seconds of one at the level's tempo
 * @returns {{seconds: number, beats: number}}
 */
export function countIn(form, tempo, [count, beat]) {
  const bar = (count * beat * 100) / tempo;
  const bars = form.countIn || (bar >= LEAST_COUNT_IN ? 1 : 2);
  return { seconds: bars * bar, beats: bars * count };
}
