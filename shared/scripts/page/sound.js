// Sound: one context for the page, made when first something is to be heard.

import { HIGH_CLICK, music } from "./music.js";
import { beat, clickOf } from "./noise.js";
import { layerOf, longEnough, pluck } from "./pluck.js";
import { alongOf, roomOf } from "./room.js";

const RATE = 44100;
const RELEASE = 0.03;
const LOUDNESS = 1.8; // what sets a usual level as loud as its file
// Nothing is louder than the ceiling; what is above the knee is bent towards it, as in a file.
const CEILING = 10 ** (-2.5 / 20);
const KNEE = 10 ** (-6 / 20);
const BENT_UP_TO = 4;
const CURVE_STEPS = 8193;
const SPREAD = 0.025; // from the first string of a strum to the last
const LEAD = 0.05;

/** @typedef {import("./music.js").Kind} Kind */

/**
 * Return how what is loud is bent, for what lies between -`BENT_UP_TO` and `BENT_UP_TO`.
 * @returns {Float32Array<ArrayBuffer>}
 */
function bend() {
  const curve = new Float32Array(CURVE_STEPS);
  const reach = CEILING - KNEE;
  for (let n = 0; n < CURVE_STEPS; n++) {
    const value = BENT_UP_TO * ((2 * n) / (CURVE_STEPS - 1) - 1);
    const above = Math.abs(value) - KNEE;
    curve[n] = above > 0 ? Math.sign(value) * (KNEE + reach * Math.tanh(above / reach)) : value;
  }
  return curve;
}

/** What sounds, and the clock by which it does. */
class Sound {
  constructor() {
    /** @type {AudioContext | null} */
    this.context = null;
    /** @type {GainNode | null} */
    this.out = null;
    /** @type {ConvolverNode | null} what answers to strings */
    this.along = null;
    /** @type {ConvolverNode | null} what answers to all else */
    this.room = null;
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
    if (!this.context) this.lay(new AudioContext({ sampleRate: RATE }));
    if (this.card.state !== "running") await this.card.resume();
  }

  /**
   * Lay what everything is heard through: the room, and the ceiling.
   * @param {AudioContext} context
   * @returns {void}
   */
  lay(context) {
    this.context = context;
    this.out = new GainNode(context, { gain: LOUDNESS / BENT_UP_TO });
    const limit = new WaveShaperNode(context, { curve: bend() });
    this.out.connect(limit).connect(context.destination);
    const { room, pluck: touch, voices } = music;
    const rate = context.sampleRate;
    this.along = this.answer(alongOf(voices.tone, room, touch, rate));
    this.room = this.answer(roomOf(room, rate));
  }

  /**
   * Return what answers to a sound that is sent to it.
   * @param {Float64Array[]} sides
   * @returns {ConvolverNode}
   */
  answer(sides) {
    const { sampleRate } = this.card;
    const buffer = new AudioBuffer({ length: sides[0].length, numberOfChannels: 2, sampleRate });
    sides.forEach((side, index) => buffer.copyToChannel(Float32Array.from(side), index));
    const found = new ConvolverNode(this.card, { buffer, disableNormalization: true });
    found.connect(/** @type {GainNode} */ (this.out));
    return found;
  }

  /**
   * Set how loud all is that sounds from now on.
   * @param {number} gain
   * @returns {void}
   */
  setLoud(gain) {
    /** @type {GainNode} */ (this.out).gain.value = gain / BENT_UP_TO;
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
   * Return a tone, a click or a stroke of small percussion, made once, and where it is heard.
   * @param {Kind} kind
   * @param {number} midi
   * @param {number} velocity
   * @param {number} seconds
   * @param {number | null} string
   * @returns {{buffer: AudioBuffer, pan: number}}
   */
  source(kind, midi, velocity, seconds, string) {
    const { sampleRate } = this.card;
    if (kind === "click") {
      const high = midi === HIGH_CLICK;
      const made = () => clickOf(high, music.click, sampleRate);
      return { buffer: this.buffer(`click ${high}`, made), pan: 0 };
    }
    if (kind !== "tone" && kind !== "bass") {
      const drum = music.drums[midi] ?? music.drums[37];
      const made = () => beat(midi, drum, sampleRate);
      return { buffer: this.buffer(`${kind} ${midi}`, made), pan: drum.pan };
    }
    return this.plucked(kind, midi, velocity, seconds, string);
  }

  /**
   * Return a plucked string, made once, and where it is heard.
   * @param {"tone" | "bass"} kind
   * @param {number} midi
   * @param {number} velocity
   * @param {number} seconds
   * @param {number | null} string
   * @returns {{buffer: AudioBuffer, pan: number}}
   */
  plucked(kind, midi, velocity, seconds, string) {
    const { sampleRate } = this.card;
    const touch = music.pluck;
    const name = kind === "tone" && string === null ? "melody" : kind;
    const voice = music.voices[name];
    const own = kind === "tone" ? string : null;
    const what = {
      string: own,
      midi,
      layer: layerOf(velocity, touch),
      seconds: longEnough(seconds, touch),
    };
    const pan = voice.pan + (own === null ? 0 : (voice.strands[own]?.pan ?? 0));
    const key = `${name} ${Object.values(what).join(" ")}`;
    return { buffer: this.buffer(key, () => pluck(voice, what, sampleRate, touch)), pan };
  }

  /**
   * Return samples that are made once, as the sound card takes them.
   * @param {string} name
   * @param {() => Float32Array<ArrayBuffer>} make
   * @returns {AudioBuffer}
   */
  buffer(name, make) {
    const known = this.buffers.get(name);
    if (known) return known;
    const samples = make();
    const buffer = new AudioBuffer({ length: samples.length, sampleRate: this.card.sampleRate });
    buffer.copyToChannel(samples, 0);
    this.buffers.set(name, buffer);
    return buffer;
  }

  /**
   * Sound one tone, click or stroke; what is over its time fades out.
   * @param {Kind} kind
   * @param {number} midi
   * @param {number} velocity from 0 to 127
   * @param {number} when on the clock of the sound card
   * @param {number} seconds
   * @param {number | null} [string]
   * @returns {AudioBufferSourceNode}
   */
  play(kind, midi, velocity, when, seconds, string = null) {
    const { buffer, pan } = this.source(kind, midi, velocity, seconds, string);
    const source = new AudioBufferSourceNode(this.card, { buffer });
    const loud = (velocity / 127) ** 1.5;
    const gain = new GainNode(this.card, { gain: loud });
    const lasts = Math.min(seconds, buffer.duration);
    const end = when + lasts;
    gain.gain.setValueAtTime(loud, Math.max(when, end - RELEASE));
    gain.gain.linearRampToValueAtTime(0, end);
    source.connect(gain);
    const answer = kind === "tone" || kind === "bass" ? this.along : this.room;
    gain.connect(/** @type {ConvolverNode} */ (answer));
    const panner = new StereoPannerNode(this.card, { pan });
    gain.connect(panner).connect(/** @type {GainNode} */ (this.out));
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
    this.setLoud(LOUDNESS);
    this.silence();
    const start = this.time + LEAD;
    const long = shapes.includes(" ") ? 1.1 : 2.4;
    shapes.split(" ").forEach((digits, index) => {
      const when = start + index * long;
      const tones = tonesOf(digits);
      tones.forEach(([midi, string], place) => {
        const late = (place * SPREAD) / Math.max(tones.length - 1, 1);
        this.strummed.push(this.play("tone", midi, 90, when + late, long - late, string));
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
 * Return the pitches that a shape sounds, each with its string, in the order of the strings.
 * @param {string} digits frets joined by hyphens, "x" for a string that is not played
 * @returns {[number, number][]}
 */
function tonesOf(digits) {
  return digits
    .split("-")
    .flatMap((fret, string) => (fret === "x" ? [] : [pair(string, Number(fret))]));
}

/**
 * Return a pitch and its string.
 * @param {number} string
 * @param {number} fret
 * @returns {[number, number]}
 */
function pair(string, fret) {
  return [music.strings[string] + fret, string];
}

export const sound = new Sound();
