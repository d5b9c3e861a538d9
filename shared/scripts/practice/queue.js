// Which question comes next: what was missed a few questions ago, what was taken for something else
// beside that, what is due, then what is new, in the order of the page.

import { DAY_MS, dayOf, mixedUp, remember } from "./memory.js";

export const TEN = 10;
export const SOONEST = 3; // a missed question comes back after so many others at least
const LATEST = 6;
const CONTRAST_EACH = 3; // of three questions one is a contrast, while there is any

/** @typedef {import("./book.js").Question} Question */
/** @typedef {import("./memory.js").Kept} Kept */

/**
 * Return after how many questions a missed one comes back: three to six, in turn, if no other does then.
 * @param {number} answers how many were given before
 * @returns {number}
 */
function comesBack(answers) {
  return SOONEST + ((answers * 7 + 2) % (LATEST - SOONEST + 1)) + 1;
}

/**
 * Take an answer; a question that was missed comes back.
 * @param {Kept} kept
 * @param {Question} question
 * @param {number} number of the question
 * @param {{score: number, mixed: string, now: number, ms: number}} given
 * @returns {void}
 */
export function take(kept, question, number, given) {
  remember(kept, question, number, { ...given, back: comesBack(kept.answers) });
}

/**
 * Return the number of the question that is asked next.
 * @param {Question[]} questions
 * @param {Kept} kept
 * @param {number} now in ms
 * @param {(question: Question) => boolean} [may] whether a question may be asked; any, if none may
 * @returns {number}
 */
export function nextQuestion(questions, kept, now, may = () => true) {
  const known = questions.length;
  const soon = kept.soon.filter(([number]) => number < known);
  const back = soon.filter(([, at]) => at <= kept.answers + 1).sort((a, b) => a[1] - b[1])[0];
  if (back) return back[0];
  const today = new Set(askedToday(kept, now));
  for (const [number] of soon) today.add(number); // it comes back later
  const all = questions.map((_, number) => number);
  const taught = all.filter((number) => may(questions[number]));
  const asked = taught.length ? taught : all;
  const free = asked.filter((number) => !today.has(number));
  const contrast = kept.answers % CONTRAST_EACH === CONTRAST_EACH - 1;
  const ways = [() => dueOf(questions, kept, free, now), () => newOf(questions, kept, free)];
  if (contrast) ways.unshift(() => contrastOf(questions, kept, free));
  for (const way of ways) {
    const found = way();
    if (found !== undefined) return found;
  }
  return longestAgo(kept, free.length ? free : asked);
}

/**
 * Return the questions that were asked today.
 * @param {Kept} kept
 * @param {number} now
 * @returns {number[]}
 */
function askedToday(kept, now) {
  return kept.ten.day === dayOf(now) ? kept.ten.done.map(([number]) => number) : [];
}

/**
 * Return the question whose item has waited longest, of those that are due by the end of the day.
 * An item that was asked today has its turn by what comes back, or on another day.
 * @param {Question[]} questions
 * @param {Kept} kept
 * @param {number[]} free
 * @param {number} now
 * @returns {number | undefined}
 */
function dueOf(questions, kept, free, now) {
  const today = dayOf(now);
  const due = (/** @type {number} */ number) => {
    const card = kept.cards[questions[number].item];
    if (!card || dayOf(Date.parse(card.last_review)) === today) return Infinity;
    const at = Date.parse(card.due);
    return at < now + DAY_MS && dayOf(at) <= today ? at : Infinity;
  };
  const rows = free.map((number) => ({ number, at: due(number) })).filter(({ at }) => at < Infinity);
  rows.sort((a, b) => a.at - b.at || (kept.last[a.number] ?? 0) - (kept.last[b.number] ?? 0));
  return rows[0]?.number;
}

/**
 * Return the first question whose item was never asked.
 * @param {Question[]} questions
 * @param {Kept} kept
 * @param {number[]} free
 * @returns {number | undefined}
 */
function newOf(questions, kept, free) {
  return free.find((number) => !kept.cards[questions[number].item]);
}

/**
 * Return a question that sets two things side by side of which one was given for the other.
 * @param {Question[]} questions
 * @param {Kept} kept
 * @param {number[]} free
 * @returns {number | undefined}
 */
function contrastOf(questions, kept, free) {
  for (const { right, given } of mixedUp(kept)) {
    const found = free.find((number) => isContrast(questions[number], right, given));
    if (found !== undefined) return found;
  }
  return undefined;
}

/**
 * Say whether a question asks for one of two things and offers the other.
 * @param {Question} question
 * @param {string} one
 * @param {string} other
 * @returns {boolean}
 */
export function isContrast(question, one, other) {
  if (question.place === "clock") return false; // all notes stand there at any time
  const right = question.offers.filter((each) => each.right).map(nameOf);
  const wrong = question.offers.filter((each) => !each.right).map(nameOf);
  return (
    (right.includes(one) && wrong.includes(other)) || (right.includes(other) && wrong.includes(one))
  );
}

/**
 * Return what an answer is called in results.
 * @param {import("./book.js").Offer} offer
 * @returns {string}
 */
export function nameOf(offer) {
  return offer.name ?? offer.say;
}

/**
 * Return the question that was asked longest ago.
 * @param {Kept} kept
 * @param {number[]} free
 * @returns {number}
 */
function longestAgo(kept, free) {
  const when = (/** @type {number} */ number) => kept.last[number] ?? 0;
  return free.reduce((best, number) => (when(number) < when(best) ? number : best), free[0]);
}
