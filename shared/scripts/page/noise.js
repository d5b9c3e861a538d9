// Noise that is the same each time, small percussion and clicks: as in harmonykit/sound/noise.py,
// whose numbers come with the page.

/** @typedef {Float32Array<ArrayBuffer>} Samples */

/**
 * One sound of small percussion.
 * @typedef {object} Drum
 * @property {number[]} noise Hz, width in Hz, seconds to rise and to fall by 1/e, size
 * @property {number[][]} tones each with its Hz, seconds to fall by 1/e, and size
 * @property {number} level
 * @property {number} pan from -1, left, to 1, right
 */

/**
 * A click.
 * @typedef {object} Click
 * @property {number} seconds
 * @property {number} fall seconds in which it falls to 1/e
 * @property {number} high_hz
 * @property {number} low_hz
 * @property {number} level
 */

const WORD = 2 ** 32;
const STARTED = 8; // the first numbers of a row are left out
const FALLS = 7; // how often a stroke falls by 1/e before it is over

/**
 * Return white noise from -1 to 1.
 * @param {number} count
 * @param {number} seed
 * @returns {Float64Array}
 */
export function white(count, seed) {
  const found = new Float64Array(count);
  let state = seed;
  for (let n = -STARTED; n < count; n++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    if (n >= 0) found[n] = state / (WORD / 2) - 1;
  }
  return found;
}

/**
 * Keep what lies in a band of some width around a frequency.
 * @param {Float64Array} sound is changed
 * @param {number} hz
 * @param {number} width in Hz
 * @param {number} rate
 * @returns {Float64Array} the same
 */
export function band(sound, hz, width, rate) {
  const turn = (2 * Math.PI * Math.min(hz, 0.45 * rate)) / rate;
  const alpha = (Math.sin(turn) * Math.min(width / hz, 2)) / 2;
  const back1 = (-2 * Math.cos(turn)) / (1 + alpha);
  const back2 = (1 - alpha) / (1 + alpha);
  const ahead = alpha / (1 + alpha);
  let [x1, x2, y1, y2] = [0, 0, 0, 0];
  for (let n = 0; n < sound.length; n++) {
    const y = ahead * (sound[n] - x2) - back1 * y1 - back2 * y2;
    x2 = x1;
    x1 = sound[n];
    y2 = y1;
    y1 = y;
    sound[n] = y;
  }
  return sound;
}

/**
 * Return one stroke of small percussion.
 * @param {number} midi its number in General MIDI
 * @param {Drum} drum
 * @param {number} rate
 * @returns {Samples}
 */
export function beat(midi, { noise, tones, level }, rate) {
  const [hz, width, rise, fall, size] = noise;
  const longest = Math.max(fall + rise, ...tones.map(([, seconds]) => seconds));
  const count = Math.floor(FALLS * longest * rate);
  const hiss = band(white(count, midi), hz, width, rate);
  return Float32Array.from(hiss, (value, n) => {
    const time = n / rate;
    const grown = rise ? 1 - Math.exp(-time / rise) : 1;
    let sum = size * value * grown * Math.exp(-time / fall);
    for (const [tone, seconds, loud] of tones) {
      sum += loud * Math.sin(2 * Math.PI * tone * time) * Math.exp(-time / seconds);
    }
    return sum * level;
  });
}

/**
 * Return one click.
 * @param {boolean} high
 * @param {Click} click
 * @param {number} rate
 * @returns {Samples}
 */
export function clickOf(high, { seconds, fall, high_hz, low_hz, level }, rate) {
  const turn = 2 * Math.PI * (high ? high_hz : low_hz);
  return Float32Array.from({ length: Math.floor(seconds * rate) }, (_, n) => {
    return level * Math.sin((turn * n) / rate) * Math.exp(-n / rate / fall);
  });
}
