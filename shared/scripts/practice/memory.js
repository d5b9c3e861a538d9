// What is remembered of a student: how well each item is known, what was taken for what, minutes.
// Over days the intervals are those of FSRS (ts-fsrs), without its play of chance, so that the same
// answers give the same days everywhere.

import { tsFsrs } from "../from_others/ts_fsrs.js";

export const DAY_MS = 86_400_000;
const AGAIN = 1;
const HARD = 2;
const GOOD = 3;
const HALF = 0.5;
const LONGEST_PAUSE_MS = 120_000; // who does not answer for so long has gone away
// Within a day the page's own queue brings back what was missed, so there are no steps of minutes.
const PLAIN = { enable_fuzz: false, learning_steps: [], relearning_steps: [] };
const scheduler = tsFsrs.fsrs(PLAIN);

/**
 * What is kept; plain, so that it can be stored as text.
 * @typedef {object} Kept
 * @property {1} format
 * @property {string} name
 * @property {Record<string, any>} cards by item
 * @property {Record<string, number>} mixed "right|given" to how often
 * @property {Record<string, [number, number]>} kinds how many were asked, and how much was right
 * @property {Record<number, number>} last question to when it was asked
 * @property {[number, number][]} soon questions that come back, and before which answer
 * @property {number} answers
 * @property {number} ms
 * @property {number} day of the last answer
 * @property {{day: number, done: [number, number][]}} ten of today: questions and scores
 * @property {Record<string, import("./tempo.js").Practised>} changes of shapes, by their shapes
 * @property {string[]} [read] the notebooks that were ticked; all where nothing was
 */

/** @returns {Kept} */
export function nothingYet() {
  return {
    format: 1,
    name: "",
    cards: {},
    mixed: {},
    kinds: {},
    last: {},
    soon: [],
    answers: 0,
    ms: 0,
    day: 0,
    ten: { day: 0, done: [] },
    changes: {},
  };
}

/**
 * Return the day of a moment, counted from the first of 1970, where the student is.
 * @param {number} now in ms
 * @returns {number}
 */
export function dayOf(now) {
  return Math.floor((now - new Date(now).getTimezoneOffset() * 60_000) / DAY_MS);
}

/**
 * Return a card after an answer.
 * @param {any} card as it was kept, or nothing
 * @param {number} score from 0 to 1
 * @param {number} now in ms
 */
export function reviewed(card, score, now) {
  const rating = score >= 1 ? GOOD : score >= HALF ? HARD : AGAIN;
  const before = card ?? tsFsrs.createEmptyCard(new Date(now));
  // As Python's library has it: whole days of 24 hours count, and the interval follows from the
  // stability alone.  This one counts dates, and keeps the intervals of its four ratings apart.
  const last = before.last_review ? new Date(before.last_review).getTime() : now;
  const at = last + Math.max(0, Math.floor((now - last) / DAY_MS)) * DAY_MS;
  const after = scheduler.next(before, new Date(at), rating).card;
  const days = scheduler.next_interval(after.stability, 0);
  const dates = { due: new Date(now + days * DAY_MS), last_review: new Date(now) };
  return { ...after, ...dates, scheduled_days: days };
}

/**
 * Take an answer into what is kept.
 * @param {Kept} kept
 * @param {import("./book.js").Question} question
 * @param {number} number of the question
 * @param {{score: number, mixed: string, now: number, ms: number, back: number}} given
 * @returns {void}
 */
export function remember(kept, question, number, { score, mixed, now, ms, back }) {
  const day = dayOf(now);
  kept.answers += 1;
  kept.day = day;
  kept.ms += Math.min(ms, LONGEST_PAUSE_MS);
  kept.cards[question.item] = reviewed(kept.cards[question.item], score, now);
  kept.last[number] = kept.answers;
  const [asked, right] = kept.kinds[question.kind] ?? [0, 0];
  kept.kinds[question.kind] = [asked + 1, right + score];
  if (mixed) kept.mixed[mixed] = (kept.mixed[mixed] ?? 0) + 1;
  kept.soon = kept.soon.filter(([each]) => each !== number);
  if (score < 1) kept.soon.push([number, kept.answers + back]);
  if (kept.ten.day !== day) kept.ten = { day, done: [] };
  kept.ten.done.push([number, score]);
}

/**
 * Return what was taken for what, most often first.
 * @param {Kept} kept
 * @returns {{right: string, given: string, times: number}[]}
 */
export function mixedUp(kept) {
  return Object.entries(kept.mixed)
    .sort(([a, m], [b, n]) => n - m || (a < b ? -1 : 1))
    .map(([pair, times]) => {
      const [right, given] = pair.split("|");
      return { right, given, times };
    });
}

/**
 * Return what a text holds, or nothing yet where it is none of ours.
 * @param {string | null} text
 * @returns {Kept}
 */
export function readKept(text) {
  try {
    const found = JSON.parse(text ?? "");
    return found?.format === 1 ? { ...nothingYet(), ...found } : nothingYet();
  } catch {
    return nothingYet();
  }
}

/** Where it is kept between visits: the browser's own store, where there is one. */
export class Store {
  /** @param {string} name */
  constructor(name) {
    this.name = name;
    this.works = true;
  }

  /** @returns {Kept} */
  read() {
    try {
      return readKept(localStorage.getItem(this.name));
    } catch {
      this.works = false;
      return nothingYet();
    }
  }

  /**
   * Keep it; a browser that refuses is not asked again.
   * @param {Kept} kept
   * @returns {void}
   */
  write(kept) {
    try {
      localStorage.setItem(this.name, JSON.stringify(kept));
    } catch {
      this.works = false;
    }
  }
}
