// What is to be heard, as it stands in the page.

/** @typedef {"tone" | "bass" | "click" | "drum"} Kind */

/**
 * A tone, a click or a stroke of small percussion: onset and length in seconds, MIDI pitch, string,
 * kind, velocity.
 * @typedef {[number, number, number, number | null, Kind, number]} Sounded
 */

/**
 * A level.  Times are seconds from the first click, at the tempo of the list.
 * @typedef {object} Level
 * @property {number} seconds when the last chord has rung
 * @property {number} countIn when the clicks that count in are over
 * @property {number} end when the last bar is over
 * @property {number[]} bars when they begin
 * @property {[number, number, number][]} steps when each begins, when it is shown ahead, its bar
 * @property {number[]} sung when each note of the melody begins
 * @property {Sounded[]} events
 */

/**
 * What a page sounds.
 * @typedef {object} Music
 * @property {number[]} strings the open strings, as MIDI pitches
 * @property {Level[]} levels
 * @property {Record<string, import("./pluck.js").Voice>} voices by kind
 * @property {Record<number, import("./noise.js").Drum>} drums by their numbers in General MIDI
 * @property {import("./noise.js").Click} click
 * @property {import("./pluck.js").Touch} pluck
 * @property {import("./room.js").Room} room
 */

/** @type {Music} */
export const music = JSON.parse(document.getElementById("music")?.textContent ?? "");

// The pitch by which a high click stands in a list.
export const HIGH_CLICK = 76;
