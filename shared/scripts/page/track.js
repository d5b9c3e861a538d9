// What a level sounds, handed to the sound card: bar after bar as it is practised, each with the
// tempo, the parts and the clicks that held when it was laid.

import { firstTurn, leadsOn, turnAfter, turnAt } from "./form.js";
import { sound } from "./sound.js";
import { countingIn, isHeard, listed } from "./stretch.js";

const BEGIN = 0.08; // seconds from the button to the first sound
const EARLY = 0.03; // a hand is a little before the bar line, or behind it
const NEAR = 1e-6;
const KEPT = 16; // stretches that are remembered

/** @typedef {import("./music.js").Sounded} Sounded */
/** @typedef {import("./music.js").Level} Level */
/** @typedef {import("./form.js").Form} Form */
/** @typedef {import("./form.js").Order} Order */
/** @typedef {import("./form.js").Turn} Turn */
/** @typedef {import("./stretch.js").Stretch} Stretch */

/**
 * What a person asks for now.
 * @typedef {object} Asked
 * @property {Form} form
 * @property {Order} order
 * @property {Set<string>} silent
 */

/** The bars of a level as they are sounded. */
export class Track {
  /** @type {Stretch[]} */
  stretches = [];
  /** @type {Map<AudioBufferSourceNode, Stretch>} what is handed to the sound card */
  sources = new Map();

  /**
   * @param {Level} level
   * @param {() => Asked} asked
   */
  constructor(level, asked) {
    this.level = level;
    this.asked = asked;
  }

  // Where it is.

  /**
   * Return the stretch that is heard at a moment.
   * @param {number} now
   * @returns {Stretch | undefined}
   */
  heard(now) {
    return this.stretches.filter(({ at }) => at <= now).pop() ?? this.stretches[0];
  }

  /**
   * Return where a bar ends in the list.
   * @param {number} bar
   * @returns {number}
   */
  endOf(bar) {
    return this.level.bars[bar + 1] ?? this.level.end;
  }

  /**
   * Return where a bar begins and ends, and what begins in it; at the end of all, or not.
   * @param {number} bar
   * @param {boolean} ends
   * @returns {import("./music.js").Within}
   */
  within(bar, ends) {
    const { bars, events, onward } = this.level;
    const own = ends ? null : onward[bar];
    return own ?? { from: bars[bar], over: this.endOf(bar), events: events[bar] };
  }

  /**
   * Return what begins in a bar between its neighbours of now.
   * @param {Turn | null} before
   * @param {Turn} turn
   * @param {boolean} ends
   * @returns {Sounded[]}
   */
  eventsOf(before, turn, ends) {
    const { edges, onward, onwardEdges } = this.level;
    const { form, order } = this.asked();
    const { head, tail } = (ends || !onward[turn.bar] ? edges : onwardEdges)[turn.bar] ?? {};
    let { events } = this.within(turn.bar, ends);
    if (head && !leadsOn(before, turn)) {
      events = [...head.events, ...events.filter(([onset]) => onset >= head.at)];
    }
    if (tail && !leadsOn(turn, turnAfter(form, order, turn))) {
      events = [...events.filter(([onset]) => onset < tail.at), ...tail.events];
    }
    return events;
  }

  // What is begun.

  /**
   * Play from a bar on, the first one where none is given, after a count-in if one is wanted.
   * @param {number} index the bar's place in its time through
   * @param {boolean} counted
   * @returns {void}
   */
  begin(index, counted) {
    const { form, order } = this.asked();
    const turn = counted
      ? firstTurn(form, order)
      : turnAt(form, order, { time: 0, index, place: 0 });
    if (!turn) return;
    let at = sound.time + BEGIN;
    this.stretches = [];
    if (counted) {
      const before = turn.bar === order.lead ? turn.bar + 1 : turn.bar;
      const count = countingIn(this.level, form, before, at);
      this.stretches = [count];
      at = this.opens(count, turn);
    }
    this.stretches.push(this.laid(turn, at, null));
  }

  /**
   * Return when the first bar begins: after what counts in, or, a pick-up, inside of it.
   * @param {Stretch} count
   * @param {Turn} turn
   * @returns {number}
   */
  opens(count, turn) {
    return count.at + (this.level.bars[turn.bar] - count.from) / count.rate;
  }

  /**
   * Play a list from its start to its end.
   * @param {Sounded[]} list
   * @param {number} seconds
   * @param {number} tempo per cent
   * @returns {void}
   */
  beginList(list, seconds, tempo) {
    this.stretches = [listed(list, seconds, tempo, sound.time + BEGIN)];
  }

  /**
   * Return a bar on the clock.
   * @param {Turn} turn
   * @param {number} at
   * @param {Turn | null} before the bar before it
   * @returns {Stretch}
   */
  laid(turn, at, before) {
    const { form, silent } = this.asked();
    const ends = this.ends(turn);
    const { from, over } = this.within(turn.bar, ends);
    return {
      from, over, to: ends ? this.level.seconds : over, at, rate: turn.tempo / 100, turn,
      list: this.eventsOf(before, turn, ends), coming: 0, counts: false, ends,
      silent: new Set(silent), beats: form.beats,
    };
  }

  /**
   * Say whether a bar is the last of all.
   * @param {Turn} turn
   * @returns {boolean}
   */
  ends(turn) {
    const { form, order } = this.asked();
    return !turnAfter(form, order, turn);
  }

  // What is handed on.

  /**
   * Hand on what sounds until a moment.
   * @param {number} soon
   * @returns {void}
   */
  feed(soon) {
    for (;;) {
      for (const stretch of this.stretches) this.feedFrom(stretch, soon);
      const last = this.stretches[this.stretches.length - 1];
      if (!last || last.ends) return;
      const begins = last.at + (last.over - last.from) / last.rate;
      if (begins - EARLY > soon) return;
      const turn = this.following(last);
      if (!turn) return;
      this.stretches = [...this.stretches.slice(-KEPT), this.laid(turn, begins, last.turn)];
    }
  }

  /**
   * Return the bar that comes after a stretch.
   * @param {Stretch} stretch
   * @returns {Turn | null}
   */
  following({ turn }) {
    const { form, order } = this.asked();
    return turn ? turnAfter(form, order, turn) : firstTurn(form, order);
  }

  /**
   * Hand on what a stretch sounds until a moment.
   * @param {Stretch} stretch
   * @param {number} soon
   * @returns {void}
   */
  feedFrom(stretch, soon) {
    while (stretch.coming < stretch.list.length) {
      const event = stretch.list[stretch.coming];
      const when = stretch.at + (event[0] - stretch.from) / stretch.rate;
      if (when > soon) return;
      stretch.coming += 1;
      if (isHeard(event, stretch)) this.hand(event, stretch, when);
    }
  }

  /**
   * Hand on one tone or click.
   * @param {Sounded} event
   * @param {Stretch} stretch
   * @param {number} when
   * @returns {void}
   */
  hand([onset, length, midi, string, kind, velocity], stretch, when) {
    const until = kind === "click" ? when + length : this.until(stretch, onset + length);
    const source = sound.play(kind, midi, velocity, when, until - when, kind === "click" ? null : string);
    this.sources.set(source, stretch);
    source.addEventListener("ended", () => this.sources.delete(source));
  }

  /**
   * Return when a tone is over: what rings over a bar line rings on where the next bar is the one
   * that follows in the tune and is heard; else it is over there.
   * @param {Stretch} stretch
   * @param {number} end its place in the list
   * @returns {number}
   */
  until({ at, from, over, rate, turn, ends }, end) {
    const { form, order } = this.asked();
    let left = end - from;
    let long = over - from;
    for (;;) {
      if (ends || !turn || left <= long + NEAR) return at + left / rate;
      at += long / rate;
      const next = turnAfter(form, order, turn);
      if (!next || next.bar !== turn.bar + 1 || next.left) return at;
      left -= long;
      turn = next;
      rate = next.tempo / 100;
      ends = this.ends(next);
      const { from: begun, over: done } = this.within(next.bar, ends);
      long = done - begun;
    }
  }

  // What is changed.

  /**
   * Take back what is not begun, and go on from the next bar line as it is asked for now: where it
   * was, or from the first tempo on.
   * @param {boolean} afresh
   * @returns {void}
   */
  goOn(afresh) {
    const now = sound.time;
    const begun = this.stretches.filter(({ at }) => at <= now);
    const kept = begun.length ? begun : this.stretches.slice(0, 1);
    for (const [source, stretch] of this.sources) if (!kept.includes(stretch)) source.stop();
    this.stretches = kept;
    const last = kept[kept.length - 1];
    if (!last || (last.ends && !last.turn)) return;
    const next = afresh ? this.afresh(last) : this.following(last);
    last.ends = !next;
    if (!next) last.to = this.level.seconds;
    else this.stretches.push(this.laid(next, this.begins(last, next), last.turn));
  }

  /**
   * Return when the bar after a stretch begins.
   * @param {Stretch} last
   * @param {Turn} next
   * @returns {number}
   */
  begins(last, next) {
    if (last.counts && next.bar === this.asked().order.lead) return this.opens(last, next);
    return last.at + (last.over - last.from) / last.rate;
  }

  /**
   * Return the bar after a stretch where all is counted from there.
   * @param {Stretch} stretch
   * @returns {Turn | null}
   */
  afresh({ turn }) {
    const { form, order } = this.asked();
    if (turn?.opening) return turnAfter(form, order, turn);
    const index = turn ? order.first.indexOf(turn.bar) : -1;
    if (!turn || index < 0) return firstTurn(form, order);
    return turnAfter(form, order, { ...turn, time: 0, index, place: -1 });
  }

  /**
   * Stop all.
   * @returns {void}
   */
  stop() {
    for (const source of this.sources.keys()) source.stop();
    this.sources.clear();
    this.stretches = [];
  }
}
