// A small room, and the open strings that ring along: as in harmonykit/sound/mixing.py, whose numbers
// come with the page.

import { white } from "./noise.js";
import { partialsOf } from "./pluck.js";

/**
 * @typedef {object} Room
 * @property {number} fall seconds to fall by 60 dB
 * @property {number} first seconds until its first answer
 * @property {number} length
 * @property {number} level
 * @property {number} dull_hz
 * @property {number[][]} left single answers: seconds, size
 * @property {number[][]} right
 * @property {number} along how loud open strings ring along
 * @property {number} partials how many of each
 * @property {number} ring seconds
 */

/** @typedef {Float64Array[]} Answer left and right */

const SEEDS = [11, 12];

/**
 * Return how loud the left and the right are: together the same power wherever it is.
 * @param {number} pan
 * @returns {number[]}
 */
function sides(pan) {
  const turn = ((pan + 1) * Math.PI) / 4;
  return [Math.cos(turn), Math.sin(turn)];
}

/**
 * Return one side of what a room answers.
 * @param {Room} room
 * @param {number[][]} single
 * @param {number} seed
 * @param {number} rate
 * @returns {Float64Array}
 */
function sideOf(room, single, seed, rate) {
  const found = white(Math.floor(room.length * rate), seed);
  const keep = Math.exp((-2 * Math.PI * room.dull_hz) / rate);
  let [last, power] = [0, 0];
  for (let n = 0; n < found.length; n++) {
    const time = n / rate;
    const heard = time >= room.first ? Math.exp((-Math.log(1000) / room.fall) * time) : 0;
    last = (1 - keep) * found[n] * heard + keep * last;
    found[n] = last;
    power += last * last;
  }
  const loud = room.level / Math.sqrt(power);
  for (let n = 0; n < found.length; n++) found[n] *= loud;
  for (const [seconds, size] of single) found[Math.round(seconds * rate)] += size * room.level;
  return found;
}

/**
 * Return what a room answers.
 * @param {Room} room
 * @param {number} rate
 * @returns {Answer}
 */
export function roomOf(room, rate) {
  return [room.left, room.right].map((single, side) => sideOf(room, single, SEEDS[side], rate));
}

/**
 * Return what a room and the open strings of a voice answer.
 * @param {import("./pluck.js").Voice} voice
 * @param {Room} room
 * @param {import("./pluck.js").Touch} touch
 * @param {number} rate
 * @returns {Answer}
 */
export function alongOf(voice, room, touch, rate) {
  const count = Math.floor(room.ring * rate);
  const found = [new Float64Array(count), new Float64Array(count)];
  for (const strand of voice.strands) {
    const loud = sides(strand.pan);
    for (const [hz, lost] of partialsOf(strand, strand.hz, rate, touch).slice(0, room.partials)) {
      const turn = (2 * Math.PI * hz) / rate;
      const size = (room.along * 2 * lost) / rate;
      for (let n = 0; n < count; n++) {
        const cut = Math.min(1, 3 * (1 - n / count));
        const value = size * cut * Math.exp((-lost * n) / rate) * Math.sin(turn * n);
        found.forEach((side, index) => (side[n] += loud[index] * value));
      }
    }
  }
  roomOf(room, rate).forEach((side, index) => {
    for (let n = 0; n < side.length; n++) found[index][n] += side[n];
  });
  return found;
}
