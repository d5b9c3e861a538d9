// A plucked string as samples, by the method of harmonykit/sound/pluck.py, whose numbers come with
// the page: the sum of the partials of the string, each with its own losses, and of the modes of the
// box that the let go string sets off (Woodhouse 2004, Acta Acustica united with Acustica 90/5).

import { over, times } from "./complex.js";
import { band, white } from "./noise.js";

/**
 * One string, open.
 * @typedef {object} Strand
 * @property {number} hz
 * @property {number} length in metres
 * @property {number} tension in newtons
 * @property {number} stiffness in N m2
 * @property {number[]} losses in the string, in the air, in bending
 * @property {number} pan from -1, left, to 1, right
 * @property {number[]} pairs how many times higher each string beside it is
 */

/**
 * Strings on a box, and how they are plucked.
 * @typedef {object} Voice
 * @property {Strand[]} strands
 * @property {number[][]} modes of the box: Hz, sharpness, mass, how much is radiated
 * @property {number} plate how fast the rest of the box moves for each newton
 * @property {number} place metres from the bridge
 * @property {number} softness_hz above this a pluck grows weaker
 * @property {number} noise_hz
 * @property {number} noise
 * @property {number} across how much of a pluck moves across the top
 * @property {number} coupled how well that is coupled
 * @property {number} level
 * @property {number} pan
 */

/**
 * What all plucks have in common.
 * @typedef {object} Touch
 * @property {number[]} hardness of soft, middle and hard strokes
 * @property {number[]} harder_from velocities at which middle and hard strokes begin
 * @property {number} highest_hz
 * @property {number} highest_part
 * @property {number} partials
 * @property {number} across_partials
 * @property {number} size
 * @property {number} sized
 * @property {number} fade
 * @property {number} noise_seconds
 * @property {number} noise_fall
 * @property {number} longest
 */

/** @typedef {import("./complex.js").Complex} Complex */
/** @typedef {{pole: Complex, size: Complex}} Mode the real part of size times e^(pole t) rings */

const A4 = 69; // MIDI
const A4_HZ = 440;
const UNHEARD = 1e-7;

/**
 * Return the frequency of a pitch.
 * @param {number} midi
 * @returns {number}
 */
export function hertz(midi) {
  return A4_HZ * 2 ** ((midi - A4) / 12);
}

/**
 * Return the string that sounds a pitch: the one of a number, else the highest below it.
 * @param {Voice} voice
 * @param {number | null} string
 * @param {number} midi
 * @returns {Strand}
 */
export function strandOf({ strands }, string, midi) {
  if (string !== null && string < strands.length) return strands[string];
  const rising = [...strands].sort((one, other) => one.hz - other.hz);
  return rising.filter(({ hz }) => hz <= hertz(midi) * 1.0001).pop() ?? rising[0];
}

/**
 * Return the partials of a string stopped at a pitch: Hz, and nepers a second that it loses alone.
 * @param {Strand} strand
 * @param {number} hz
 * @param {number} rate
 * @param {Touch} touch
 * @returns {[number, number][]}
 */
export function partialsOf(strand, hz, rate, touch) {
  const length = (strand.length * strand.hz) / hz;
  const bend = (Math.PI ** 2 * strand.stiffness) / (strand.tension * length ** 2);
  const most = Math.min(touch.highest_hz, touch.highest_part * rate);
  const count = Math.min(touch.partials, Math.max(Math.floor(most / hz), 1));
  const [inString, inAir, inBending] = strand.losses;
  /** @type {[number, number][]} */
  const found = [];
  for (let n = 1; n <= count; n++) {
    const bent = bend * n * n;
    const high = hz * n * Math.sqrt((1 + bent) / (1 + bend));
    if (high >= Math.max(most, hz * 1.01)) break;
    const turn = 2 * Math.PI * high;
    const lost = (inString + inAir / turn + bent * inBending) / (1 + bent);
    found.push([high, (turn * lost) / 2]);
  }
  return found;
}

/**
 * Return what a box takes of each partial, in nepers a second.
 * @param {Voice} voice
 * @param {number} hz of the partial
 * @param {number} tone the pitch
 * @param {number} resists the string's own resistance, in kg/s
 * @returns {number}
 */
function takenOf({ modes, plate }, hz, tone, resists) {
  const turn = 2 * Math.PI * hz;
  /** @type {Complex} */
  let moved = [plate, 0];
  for (const [modeHz, sharp, mass] of modes) {
    const mode = 2 * Math.PI * modeHz;
    const [re, im] = over([0, turn / mass], [mode ** 2 - turn ** 2, (turn * mode) / sharp]);
    moved = [moved[0] + re, moved[1] + im];
  }
  const [re, im] = [moved[0] * resists, moved[1] * resists];
  return -tone * Math.log(Math.hypot(1 - re, im) / Math.hypot(1 + re, im));
}

/**
 * Return how much of a force that rings at a pole is heard.
 * @param {Voice} voice
 * @param {Complex} pole
 * @returns {Complex}
 */
function radiated({ modes }, pole) {
  const square = times(pole, pole);
  let [re, im] = [0, 0];
  for (const [modeHz, sharp, , gain] of modes) {
    const mode = 2 * Math.PI * modeHz;
    const through = over(square, [
      square[0] + (pole[0] * mode) / sharp + mode ** 2,
      square[1] + (pole[1] * mode) / sharp,
    ]);
    re += gain * through[0];
    im += gain * through[1];
  }
  return [re, im];
}

/**
 * Return the modes of the box as a string sets them off that is let go.
 * @param {Voice} voice
 * @param {{pole: Complex, pull: number}[]} rings
 * @returns {Mode[]}
 */
function boxOf({ modes }, rings) {
  return modes.map(([modeHz, sharp, , gain]) => {
    const turn = 2 * Math.PI * modeHz;
    /** @type {Complex} */
    const own = [-turn / (2 * sharp), turn * Math.sqrt(1 - 1 / (4 * sharp ** 2))];
    const step = over([1, 0], own);
    let [re, im] = [0, 0];
    for (const { pole, pull } of rings) {
      /** @type {Complex} */
      const since = [own[0] - pole[0], own[1]];
      const square = times(since, since);
      const one = over(since, [square[0] + pole[1] ** 2, square[1]]);
      re += pull * (one[0] - step[0]);
      im += pull * (one[1] - step[1]);
    }
    const top = times([2 * gain, 0], times(own, own));
    const size = times(over(top, [2 * own[0] + turn / sharp, 2 * own[1]]), [re, im]);
    return { pole: own, size };
  });
}

/**
 * Return all that rings when a string is plucked at a pitch.
 * @param {Voice} voice
 * @param {Strand} strand
 * @param {number} hz
 * @param {number} hard
 * @param {number} rate
 * @param {Touch} touch
 * @returns {Mode[]}
 */
function ringsOf(voice, strand, hz, hard, rate, touch) {
  const length = (strand.length * strand.hz) / hz;
  const place = Math.min(voice.place / length, 0.5);
  const resists = strand.tension / (2 * length * hz);
  /** @type {{pole: Complex, pull: number}[]} */
  const down = [];
  /** @type {{pole: Complex, pull: number}[]} */
  const across = [];
  partialsOf(strand, hz, rate, touch).forEach(([high, lost], index) => {
    const n = index + 1;
    const soft = 1 + (high / (voice.softness_hz * hard)) ** 2;
    const pull = Math.sin(Math.PI * n * place) / n / soft;
    const taken = takenOf(voice, high, hz, resists);
    const turn = 2 * Math.PI * high;
    down.push({ pole: [-lost - taken, turn], pull: pull * (1 - voice.across) });
    if (n > touch.across_partials) return;
    across.push({ pole: [-lost - voice.coupled * taken, turn], pull: pull * voice.across });
  });
  const rings = [...down, ...across];
  const heard = rings.map(({ pole, pull }) => ({
    pole,
    size: times([pull, 0], radiated(voice, pole)),
  }));
  return [...heard, ...boxOf(voice, rings)];
}

/**
 * Return all that rings when a string is plucked, and those beside it.
 * @param {Voice} voice
 * @param {Strand} strand
 * @param {number} midi
 * @param {number} hard
 * @param {number} rate
 * @param {Touch} touch
 * @returns {Mode[]}
 */
export function modesOf(voice, strand, midi, hard, rate, touch) {
  return [1, ...strand.pairs].flatMap((pair) =>
    ringsOf(voice, strand, hertz(midi) * pair, hard, rate, touch),
  );
}

/**
 * Add what rings to samples: each mode is a sine that falls, by its last two samples.
 * @param {Float64Array} sound
 * @param {Mode[]} modes
 * @param {number} rate
 * @returns {void}
 */
function ring(sound, modes, rate) {
  for (const { pole, size } of modes) {
    const keep = Math.exp(pole[0] / rate);
    const turn = pole[1] / rate;
    const back1 = 2 * keep * Math.cos(turn);
    const back2 = -keep * keep;
    const loud = Math.hypot(...size);
    const heard = loud > UNHEARD ? (Math.log(UNHEARD / loud) / pole[0]) * rate : 0;
    const count = Math.min(sound.length, Math.ceil(heard));
    let now = size[0];
    let last = (size[0] * Math.cos(turn) + size[1] * Math.sin(turn)) / keep;
    for (let n = 0; n < count; n++) {
      sound[n] += now;
      const next = back1 * now + back2 * last;
      last = now;
      now = next;
    }
  }
}

/**
 * Return how hard a stroke is: 0 soft, 1 middle, 2 hard.
 * @param {number} velocity
 * @param {Touch} touch
 * @returns {number}
 */
export function layerOf(velocity, touch) {
  return touch.harder_from.filter((step) => velocity >= step).length;
}

/**
 * Return the length in whole seconds of the pluck that a note of some length is taken from.
 * @param {number} seconds
 * @param {Touch} touch
 * @returns {number}
 */
export function longEnough(seconds, touch) {
  let length = 1;
  while (length < Math.min(seconds, touch.longest)) length *= 2;
  return length;
}

/**
 * Return one plucked string, left to ring.
 * @param {Voice} voice
 * @param {{string: number | null, midi: number, layer: number, seconds: number}} what
 * @param {number} rate
 * @param {Touch} touch
 * @returns {Float32Array<ArrayBuffer>}
 */
export function pluck(voice, { string, midi, layer, seconds }, rate, touch) {
  const hard = touch.hardness[layer];
  const modes = modesOf(voice, strandOf(voice, string, midi), midi, hard, rate, touch);
  const longest = Math.log(1000) / Math.min(...modes.map(({ pole }) => -pole[0]));
  const sized = Math.floor(touch.sized * rate);
  const sound = new Float64Array(Math.max(Math.floor(Math.min(longest, seconds) * rate), sized));
  ring(sound, modes, rate);
  let power = 0;
  for (let n = 0; n < sized; n++) power += sound[n] ** 2;
  const loud = touch.size / Math.sqrt(power / sized);
  const hiss = white(Math.floor(touch.noise_seconds * rate), 1000 + midi);
  band(hiss, voice.noise_hz * Math.sqrt(hard), voice.noise_hz, rate);
  for (let n = 0; n < hiss.length; n++) {
    sound[n] += (hiss[n] * Math.exp(-n / (rate * touch.noise_fall)) * voice.noise * hard) / loud;
  }
  return faded(sound, loud * voice.level, Math.floor(touch.fade * rate));
}

/**
 * Return samples made louder, and led to silence over the last of them.
 * @param {Float64Array} sound
 * @param {number} loud
 * @param {number} fade over how many samples
 * @returns {Float32Array<ArrayBuffer>}
 */
function faded(sound, loud, fade) {
  const last = sound.length - 1;
  return Float32Array.from(sound, (each, n) => {
    const left = last - n < fade - 1 ? (last - n) / (fade - 1) : 1;
    return each * left * loud;
  });
}
