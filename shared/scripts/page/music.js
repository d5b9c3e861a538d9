// What is to be heard, as it stands in the page.

/** @typedef {"tone" | "bass" | "click" | "drum"} Kind */

/**
 * A tone, a click or a stroke of small percussion: onset and length in seconds, MIDI pitch, string
 * (of a click its beat), kind, velocity.
 * @typedef {[number, number, number, number | null, Kind, number]} Sounded
 */

/**
 * A line of a level's practice, as the lesson's author wrote it.
 * @typedef {object} Line
 * @property {[number, number] | null} span the first bar and the last
 * @property {number[]} tempi
 * @property {number} times
 * @property {number} countIn
 * @property {number} intro
 * @property {number[]} beats
 * @property {string} left
 * @property {string} names
 * @property {string[]} parts
 * @property {boolean} sing
 */

/**
 * A bar that goes on otherwise where it is not the last: where it begins and ends, in a list of its
 * own, and what begins in it.
 * @typedef {{from: number, over: number, events: Sounded[]}} Within
 */

/**
 * How a bar begins and ends where its neighbour is another than in the tune: what sounds up to a
 * place, or from it on, instead of its own events.
 * @typedef {{head?: {at: number, events: Sounded[]}, tail?: {at: number, events: Sounded[]}}} Edges
 */

/**
 * Where on the page each bar, step and note that is played stands; a note with its line of words.
 * @typedef {{bars: number[], steps: number[], notes: [number, number][]}} Places
 */

/**
 * A level.  Times are seconds from the first click, at the tempo of the list.
 * @typedef {object} Level
 * @property {number} seconds when the last chord has rung
 * @property {number} countIn when the clicks that count in are over
 * @property {number} end when the last bar is over
 * @property {number[]} bars when they begin
 * @property {[number, number][]} beats how many each bar has, and how long one lasts
 * @property {number} gain what sets it as loud as its file
 * @property {number} lead the bar that is a pick-up, or -1
 * @property {boolean} room whether the last bar leaves room for it
 * @property {[number, number, number][]} steps when each begins, when it is shown ahead, its bar
 * @property {[string, number][]} names what is said of each step, and its root as a pitch class
 * @property {number[]} sung when each note of the melody begins
 * @property {Sounded[][]} events those of each bar
 * @property {Record<string, Edges>} edges
 * @property {Record<string, Within>} onward bars that go on otherwise
 * @property {Record<string, Edges>} onwardEdges
 * @property {number} intro how many bars an intro has
 * @property {Line[]} practice
 * @property {{seconds: number, events: Sounded[], words: [number, string][]} | null} leading
 * @property {Places} places
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

// The pitches by which a high and a low click stand in a list.
export const HIGH_CLICK = 76;
export const LOW_CLICK = 77;
