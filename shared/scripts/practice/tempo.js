// A change of shapes at a rising tempo: which tempo is next, and how one stands.  As in
// harmonykit/practice/changes.py, and compared with it by a test.

export const LOOP_TURNS = 4;
export const LOOP_BEATS = 4;
const START_TEMPO = 50;
const SLOWEST = 30;
const FASTEST = 240;
const CLEAN_IN_A_ROW = 2;
const FASTER_BY = 0.08;
const SLOWER_BY = 0.12;
const LEAST_STEP = 2;
const MOST_ROUNDS = 12;

/** @typedef {[number, 0 | 1]} Round a tempo, and whether it was clean */

/**
 * What is kept of a change.
 * @typedef {object} Practised
 * @property {Round[]} rounds the last ones
 * @property {number} best the best clean tempo; 0 for none
 * @property {number} day of the last round
 * @property {number} ms how long it was practised in all
 */

/**
 * Return an even tempo within the limits; a half is rounded to the even one, as Python does.
 * @param {number} tempo
 * @returns {number}
 */
function evenTempo(tempo) {
  const half = tempo / 2;
  const below = Math.floor(half);
  const tie = Math.abs(half - below - 0.5) < 1e-9;
  const whole = tie ? below + (below % 2) : Math.round(half);
  return Math.min(FASTEST, Math.max(SLOWEST, 2 * whole));
}

/**
 * Return the tempo of the next round.
 * @param {Round[]} rounds
 * @returns {number}
 */
export function nextTempo(rounds) {
  const last = rounds[rounds.length - 1];
  if (!last) return START_TEMPO;
  const [tempo, clean] = last;
  if (!clean) return evenTempo(tempo - Math.max(LEAST_STEP, tempo * SLOWER_BY));
  const row = rounds.slice(-CLEAN_IN_A_ROW);
  const sure = row.length === CLEAN_IN_A_ROW && row.every(([at, was]) => was && at === tempo);
  return sure ? evenTempo(tempo + Math.max(LEAST_STEP, tempo * FASTER_BY)) : tempo;
}

/**
 * Return another tempo, so much faster or slower.
 * @param {number} tempo
 * @param {number} by
 * @returns {number}
 */
export function movedTempo(tempo, by) {
  return Math.min(FASTEST, Math.max(SLOWEST, tempo + by));
}

/** @returns {Practised} */
export function neverPractised() {
  return { rounds: [], best: 0, day: 0, ms: 0 };
}

/**
 * Return what is kept after a round.
 * @param {Practised} before
 * @param {{tempo: number, clean: boolean, day: number, ms: number}} round
 * @returns {Practised}
 */
export function afterRound(before, { tempo, clean, day, ms }) {
  /** @type {Round} */
  const round = [tempo, clean ? 1 : 0];
  return {
    rounds: [...before.rounds, round].slice(-MOST_ROUNDS),
    best: clean ? Math.max(before.best, tempo) : before.best,
    day,
    ms: before.ms + ms,
  };
}

/**
 * Return how one stands with a change, in words.
 * @param {Practised} now
 * @param {number} today
 * @returns {string}
 */
export function standingOf({ best, day, ms, rounds }, today) {
  if (!rounds.length) return "Not practised yet.";
  const days = Math.max(0, today - day);
  const when = days === 0 ? "today" : days === 1 ? "yesterday" : `${days} days ago`;
  const minutes = Math.round(ms / 60_000);
  const long = minutes < 1 ? "less than a minute" : minutes === 1 ? "1 minute" : `${minutes} minutes`;
  return `${best ? `Best clean tempo ${best}` : "Not clean yet"}; last practised ${when}; ${long} in all.`;
}

/**
 * Return the numbers of changes in the order in which they are offered: what was never practised,
 * then what lay longest, then what is slowest.
 * @param {(Practised | undefined)[]} rows
 * @returns {number[]}
 */
export function changesInTurn(rows) {
  const key = (/** @type {number} */ n) => [rows[n]?.rounds.length ? 1 : 0, rows[n]?.day ?? 0, rows[n]?.best ?? 0, n];
  return rows
    .map((_, n) => n)
    .sort((a, b) => {
      const [one, other] = [key(a), key(b)];
      const place = one.findIndex((each, k) => each !== other[k]);
      return place < 0 ? 0 : one[place] - other[place];
    });
}
