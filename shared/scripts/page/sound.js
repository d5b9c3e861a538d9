// Sound: one context for the page, made when first something is to be heard.

import { HIGH_CLICK, music } from "./music.js";
import { clickOf, pluck } from "./pluck.js";

const RELEASE = 0.03;
const LOUDNESS = 0.45;
const RING = 3; // seconds of each string
const SPREAD = 0.025; // from the first string of a strum to the last
const LEAD = 0.05;

/** @typedef {import("./music.js").Kind} Kind */

/** What sounds, and the clock by which it does. */
class Sound {
  constructor() {
    /** @type {AudioContext | null} */
    this.context = null;
    /** @type {GainNode | null} */
    this.out = null;
    /** @type {Map<string, AudioBuffer>} */
    this.buffers = new Map();
    /** @type {AudioBufferSourceNode[]} */
    this.strummed = [];
  }

  /**
   * Make the context, where there is none, and let it run.
   * @returns {Promise<void>}
   */
  async wake() {
    if (!this.context) {
      this.context = new AudioContext();
      this.out = new GainNode(this.context, { gain: LOUDNESS });
      const limit = new DynamicsCompressorNode(this.context, { threshold: -6, ratio: 12 });
      this.out.connect(limit).connect(this.context.destination);
    }
    if (this.context.state !== "running") await this.context.resume();
  }

  /** @returns {AudioContext} the context, once it was woken */
  get card() {
    return /** @type {AudioContext} */ (this.context);
  }

  /**
   * Return the clock of the sound card, and how late it is heard: all that is timed is timed by
   * these two.  A test puts a clock of its own in their place.
   * @returns {{time: number, late: number}}
   */
  clock() {
    return { time: this.card.currentTime, late: this.card.outputLatency || 0 };
  }

  /** @returns {number} the time of the sound card */
  get time() {
    return this.clock().time;
  }

  /** @returns {number} the moment that is heard now */
  get now() {
    const { time, late } = this.clock();
    return time - late;
  }

  /**
   * Return a tone or a click, made once.
   * @param {Kind} kind
   * @param {number} midi
   * @returns {AudioBuffer}
   */
  buffer(kind, midi) {
    const name = `${kind} ${midi}`;
    const known = this.buffers.get(name);
    if (known) return known;
    const { sampleRate } = this.card;
    const samples =
      kind === "click"
        ? clickOf(sampleRate, music.clicks[midi === HIGH_CLICK ? "high" : "low"])
        : pluck(midi, sampleRate, RING, music.voices[kind]);
    const buffer = new AudioBuffer({ length: samples.length, sampleRate });
    buffer.copyToChannel(samples, 0);
    this.buffers.set(name, buffer);
    return buffer;
  }

  /**
   * Sound one tone or click; what is over its time fades out.
   * @param {Kind} kind
   * @param {number} midi
   * @param {number} velocity from 0 to 127
   * @param {number} when on the clock of the sound card
   * @param {number} seconds
   * @returns {AudioBufferSourceNode}
   */
  play(kind, midi, velocity, when, seconds) {
    const source = new AudioBufferSourceNode(this.card, { buffer: this.buffer(kind, midi) });
    const loud = (velocity / 127) ** 1.5;
    const gain = new GainNode(this.card, { gain: loud });
    const end = when + seconds;
    gain.gain.setValueAtTime(loud, Math.max(when, end - RELEASE));
    gain.gain.linearRampToValueAtTime(0, end);
    source.connect(gain).connect(/** @type {GainNode} */ (this.out));
    source.start(Math.max(when, 0));
    source.stop(end);
    return source;
  }

  /**
   * Strum shapes one after another, such as "2-3-2-3 2-2-2-3".
   * @param {string} shapes
   * @returns {Promise<void>}
   */
  async strum(shapes) {
    await this.wake();
    this.silence();
    const start = this.time + LEAD;
    const long = shapes.includes(" ") ? 1.1 : 2.4;
    shapes.split(" ").forEach((digits, index) => {
      const when = start + index * long;
      const tones = tonesOf(digits);
      tones.forEach((midi, place) => {
        const late = (place * SPREAD) / Math.max(tones.length - 1, 1);
        this.strummed.push(this.play("tone", midi, 90, when + late, long - late));
      });
    });
  }

  /**
   * Stop what was strummed.
   * @returns {void}
   */
  silence() {
    for (const source of this.strummed) source.stop();
    this.strummed = [];
  }
}

/**
 * Return the pitches that a shape sounds, in the order of its strings.
 * @param {string} digits frets joined by hyphens, "x" for a string that is not played
 * @returns {number[]}
 */
function tonesOf(digits) {
  return digits
    .split("-")
    .flatMap((fret, string) => (fret === "x" ? [] : [music.strings[string] + Number(fret)]));
}

export const sound = new Sound();
