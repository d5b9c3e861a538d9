// The next chord, told a beat before it comes: spoken where the browser has a voice, else its root.

import { sound } from "./sound.js";

const FAST = 1.25; // of the usual rate of speech: a name is over before its chord comes
const OCTAVE = 60; // the root is told from middle C up
const LOUD = 100;

/** Tells names. */
export const voice = {
  /** @returns {boolean} whether the browser has a voice */
  get speaks() {
    return "speechSynthesis" in window && speechSynthesis.getVoices().length > 0;
  },

  /**
   * Tell the next chord.
   * @param {string} name
   * @param {number} root as a pitch class
   * @param {number} seconds until it comes
   * @returns {void}
   */
  tell(name, root, seconds) {
    if (!name) return;
    if (!this.speaks) {
      sound.play("tone", OCTAVE + root, LOUD, sound.time, seconds * 0.9);
      return;
    }
    speechSynthesis.cancel();
    const said = new SpeechSynthesisUtterance(name);
    said.lang = "en";
    said.rate = FAST;
    speechSynthesis.speak(said);
  },

  /**
   * Be silent.
   * @returns {void}
   */
  stop() {
    if ("speechSynthesis" in window) speechSynthesis.cancel();
  },
};
