// Chords that are heard when they are asked for: one after another, strummed from the lowest.

import { sound } from "../page/sound.js";

const EACH = 1.1; // seconds of a chord that another follows
const LAST = 2.2;
const APART = 0.04;
const SOON_AFTER = 0.06;
const REST = 0.8;
const VELOCITY = 90;

/** Whether this browser makes sound at all. */
export const canSound = "AudioContext" in window;

/**
 * Sound some rows of chords one after another, with a rest between the rows.
 * @param {number[][][]} rows
 * @returns {Promise<void>}
 */
export async function hearRows(rows) {
  if (!canSound) return;
  await sound.wake();
  sound.silence();
  let when = sound.time + SOON_AFTER;
  rows.forEach((chords) => {
    chords.forEach((pitches, place) => {
      const long = place === chords.length - 1 ? LAST : EACH;
      pitches.forEach((midi, n) => {
        const late = n * APART;
        sound.strummed.push(sound.play("tone", midi, VELOCITY, when + late, long - late));
      });
      when += long;
    });
    when += REST - (LAST - EACH);
  });
}

/**
 * Let nothing sound.
 * @returns {void}
 */
export function hush() {
  if (sound.context) sound.silence();
}
