// Chords as the bytes of a WAV file, made on the page: what a kernel would send.

import { sound } from "../page/sound.js";

const EACH_S = 0.9; // from chord to chord
const RING_S = 0.6;
const LATE_S = 0.04;
const LOUD = 0.8;
const VELOCITY_90 = 90;
const HEAD = 44; // bytes before the samples

/**
 * Return chords as samples, each strummed from its first pitch to its last.
 * @param {number[][]} chords MIDI pitches
 * @returns {{samples: Float32Array, rate: number}}
 */
export function mixed(chords) {
  const rate = sound.card.sampleRate;
  const seconds = chords.length * EACH_S + RING_S;
  const samples = new Float32Array(Math.ceil(seconds * rate));
  chords.forEach((pitches, place) => {
    pitches.forEach((midi, n) => {
      const from = Math.round((place * EACH_S + n * LATE_S) * rate);
      const long = Math.round((EACH_S + RING_S - n * LATE_S) * rate);
      const tone = sound.source("tone", midi, VELOCITY_90, RING_S, null).buffer.getChannelData(0);
      const end = Math.min(long, tone.length, samples.length - from);
      for (let k = 0; k < end; k++) samples[from + k] += LOUD * tone[k];
    });
  });
  return { samples, rate };
}

/**
 * Return samples as a WAV file of one channel and 16 bits.
 * @param {{samples: Float32Array, rate: number}} made
 * @returns {ArrayBuffer}
 */
export function wavOf({ samples, rate }) {
  const bytes = new ArrayBuffer(HEAD + 2 * samples.length);
  const view = new DataView(bytes);
  const word = (/** @type {number} */ at, /** @type {string} */ text) =>
    [...text].forEach((each, n) => view.setUint8(at + n, each.charCodeAt(0)));
  word(0, "RIFF");
  view.setUint32(4, bytes.byteLength - 8, true);
  word(8, "WAVEfmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, rate, true);
  view.setUint32(28, 2 * rate, true);
  view.setUint16(32, 2, true);
  view.setUint16(34, 16, true);
  word(36, "data");
  view.setUint32(40, 2 * samples.length, true);
  samples.forEach((value, n) => {
    view.setInt16(HEAD + 2 * n, 32767 * Math.max(-1, Math.min(1, value)), true);
  });
  return bytes;
}
