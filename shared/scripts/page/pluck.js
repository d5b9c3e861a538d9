// A plucked string and a click as samples, by the method of harmonykit/sound/pluck.py, whose numbers
// come with the page: a loop one period long through which the pluck runs again and again and loses
// a little each time, the high parts more (Karplus and Strong 1983; Jaffe and Smith 1983, Computer
// Music Journal 7/2).

/**
 * How a string is plucked, and how it rings.
 * @typedef {object} Voice
 * @property {number} softness_hz above this the pluck grows weaker
 * @property {number} place where it is plucked, as a part of its length
 * @property {number} decay seconds in which A4 falls by 60 dB
 * @property {number} decay_slope lower strings ring longer, by this power of the frequency
 * @property {number} damping how much more the high parts lose
 * @property {number} a4_hz
 */

/**
 * How a click sounds.
 * @typedef {object} Click
 * @property {number} seconds
 * @property {number} decay seconds in which it falls to 1/e
 * @property {number} hz
 */

const A4 = 69; // MIDI
// The push of the finger is over by then, at any rate.
const PUSHED = 4096;

/**
 * Return the four weights of a cubic through neighbouring samples: a delay of 1 + part samples.
 * @param {number} part from 0 to 1
 * @returns {number[]}
 */
export function between(part) {
  const d = 1 + part;
  return [
    (-(d - 1) * (d - 2) * (d - 3)) / 6,
    (d * (d - 2) * (d - 3)) / 2,
    (-d * (d - 1) * (d - 3)) / 2,
    (d * (d - 1) * (d - 2)) / 6,
  ];
}

/**
 * Return the six weights by which samples come again, and after how many whole samples.
 * @param {number} pitch in Hz
 * @param {number} rate samples a second
 * @param {Voice} voice
 * @returns {{weights: Float64Array, whole: number}}
 */
function loopOf(pitch, rate, { decay, decay_slope, damping, a4_hz }) {
  const ring = decay * (a4_hz / pitch) ** decay_slope;
  const kept = 10 ** (-3 / (ring * pitch));
  const damp = [(kept * damping) / 2, kept * (1 - damping), (kept * damping) / 2];
  // The damping delays by one sample and the cubic by 1 + part: the rest is whole.
  const rest = rate / pitch - 2;
  const whole = Math.floor(rest);
  const cubic = between(rest - whole);
  const weights = new Float64Array(6);
  damp.forEach((a, i) => cubic.forEach((b, j) => (weights[i + j] += a * b)));
  return { weights, whole };
}

/**
 * Return one plucked string, left to ring.
 * @param {number} midi
 * @param {number} rate samples a second
 * @param {number} seconds
 * @param {Voice} voice
 * @returns {Float32Array<ArrayBuffer>}
 */
export function pluck(midi, rate, seconds, voice) {
  const pitch = voice.a4_hz * 2 ** ((midi - A4) / 12);
  const { weights, whole } = loopOf(pitch, rate, voice);
  const [a, b, c, d, e, f] = weights;
  const sound = new Float64Array(Math.ceil(seconds * rate));
  excite(sound, (rate / pitch) * voice.place, rate, voice.softness_hz);
  // Before the first sample there is silence, which an index below nought would not give.
  const rest = whole + 5;
  const padded = new Float64Array(rest + sound.length);
  for (let n = 0, at = rest, from = 5; n < sound.length; n++, at++, from++) {
    padded[at] =
      sound[n] +
      a * padded[from] +
      b * padded[from - 1] +
      c * padded[from - 2] +
      d * padded[from - 3] +
      e * padded[from - 4] +
      f * padded[from - 5];
  }
  return levelled(padded.subarray(rest));
}

/**
 * Pluck: the finger's push, and its answer from where the string is picked, both softened.
 * @param {Float64Array} sound
 * @param {number} later samples until the answer
 * @param {number} rate
 * @param {number} softness in Hz
 * @returns {void}
 */
function excite(sound, later, rate, softness) {
  const whole = Math.floor(later);
  sound[0] += 1;
  sound[whole] -= 1 - (later - whole);
  sound[whole + 1] -= later - whole;
  const keep = Math.exp((-2 * Math.PI * softness) / rate);
  for (let pass = 0; pass < 2; pass++) {
    let last = 0;
    for (let n = 0; n < sound.length && n < PUSHED; n++) {
      last = (1 - keep) * sound[n] + keep * last;
      sound[n] = last;
    }
  }
}

/**
 * Return one click.
 * @param {number} rate
 * @param {Click} click
 * @returns {Float32Array<ArrayBuffer>}
 */
export function clickOf(rate, { seconds, decay, hz }) {
  const sound = new Float64Array(Math.ceil(seconds * rate));
  const turn = (2 * Math.PI * hz) / rate;
  for (let n = 0; n < sound.length; n++) sound[n] = Math.sin(turn * n) * Math.exp(-n / rate / decay);
  return levelled(sound);
}

/**
 * Return samples from -1 to 1.
 * @param {Float64Array} sound
 * @returns {Float32Array<ArrayBuffer>}
 */
function levelled(sound) {
  let most = 0;
  for (const value of sound) most = Math.max(most, Math.abs(value));
  return Float32Array.from(sound, (value) => value / (most || 1));
}
