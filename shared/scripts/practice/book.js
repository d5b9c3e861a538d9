// What a page of questions holds, as it stands in the page.

/** @typedef {[number, string, string]} ClockMark a pitch class, its role, its letters */

/**
 * What is drawn: notes on the clock, a shape on the strings, or ways from shape to shape.
 * @typedef {object} Figure
 * @property {ClockMark[]} [clock]
 * @property {string} [name]
 * @property {(number | null)[]} [frets]
 * @property {([string, string] | null)[]} [marks]
 * @property {any[]} [was]
 * @property {[number, number][]} [moves]
 * @property {[Figure, Figure][]} [ways]
 */

/**
 * One answer that can be chosen.
 * @typedef {object} Offer
 * @property {string} say
 * @property {1} [right]
 * @property {string} [why] why it is not right
 * @property {number} [at] the pitch class, or the string
 * @property {string} [name] what it makes
 * @property {number[][]} [sound]
 * @property {Figure} [figure]
 */

/**
 * A question.
 * @typedef {object} Question
 * @property {string} item what is remembered of it
 * @property {string} kind
 * @property {string} ask
 * @property {"list" | "clock" | "strings" | "shapes"} place
 * @property {string} why
 * @property {Offer[]} offers
 * @property {Figure} [before]
 * @property {Figure} [after]
 * @property {number[][]} [sound] what may be heard before an answer
 * @property {number[][]} [hear] what is asked by ear
 */

/**
 * A change of shapes.
 * @typedef {object} Change
 * @property {string} id the two shapes
 * @property {string} say
 * @property {string} label its chords and its shapes, as it stands in a list
 * @property {Figure & {say?: string}} before
 * @property {Figure & {say?: string}} after
 * @property {[number, number][][]} pitches of both, each with its string
 */

/**
 * A page of questions.
 * @typedef {object} Book
 * @property {string} title
 * @property {string} mark three signs by which results name the page
 * @property {string[]} strings the names of the strings
 * @property {Record<string, string>} kinds what each kind is called
 * @property {string[]} order every kind that results know, by its number
 * @property {[string, string][]} notebooks that teach what is asked, with titles; none of a lesson
 * @property {Record<string, string>} taught in which of them each kind is
 * @property {Change[]} changes
 * @property {Question[]} questions
 */

/** @type {Book} */
export const book = JSON.parse(document.getElementById("questions")?.textContent ?? "null");
