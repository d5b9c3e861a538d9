// Results as a code that can be copied or typed: five bits a sign, no 0, O, 1 or I, the last four
// signs a check of the rest (CRC-32, its lowest twenty bits).  harmonykit/home/codes.py reads it.

import { mixedUp } from "./memory.js";

export const SIGNS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
export const LETTERS = "abcdefghijklmnopqrstuvwxyz -'.";
export const PRINTED = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabdegijmostu ♭♯𝄫𝄪°øΔ+-−/()";
const VERSION = 1;
const FIRST_DAY = 19_723; // 1 January 2024, counted from the first of 1970
const MOST_MIXED = 3;
const MOST_TIMES = 7;
const LONGEST_NAME = 20;
const LONGEST_PRINTED = 15;
const CHECK_SIGNS = 4;

/** Bits in a row, the highest first. */
class Bits {
  /** @type {number[]} */
  row = [];

  /**
   * Add a number in so many bits; one that is too large is the largest.
   * @param {number} value
   * @param {number} bits
   */
  add(value, bits) {
    const held = Math.min(Math.max(0, Math.round(value)), 2 ** bits - 1);
    for (let n = bits - 1; n >= 0; n--) this.row.push(Math.floor(held / 2 ** n) % 2);
  }

  /**
   * Add a number from 0 up that is mostly small: as many noughts as it has bits after the first.
   * @param {number} value
   */
  count(value) {
    const held = Math.min(Math.round(value), 65_534) + 1;
    const bits = Math.floor(Math.log2(held)) + 1;
    this.add(0, bits - 1);
    this.add(held, bits);
  }

  /** @returns {string} the signs, the last filled up with noughts */
  get signs() {
    let found = "";
    for (let n = 0; n < this.row.length; n += 5) {
      const five = [0, 1, 2, 3, 4].map((k) => this.row[n + k] ?? 0);
      found += SIGNS[five.reduce((all, bit) => 2 * all + bit, 0)];
    }
    return found;
  }
}

/**
 * Return the check of a text, by the table-less form of CRC-32.
 * @param {string} text
 * @returns {number}
 */
export function crc32(text) {
  let crc = 0xffffffff;
  for (const byte of new TextEncoder().encode(text)) {
    crc ^= byte;
    for (let n = 0; n < 8; n++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return (crc ^ 0xffffffff) >>> 0;
}

/**
 * Add a name: five bits a letter where it is of plain letters, else its bytes.
 * @param {Bits} bits
 * @param {string} name
 * @returns {void}
 */
function addName(bits, name) {
  const short = [...name.trim().replace(/\s+/g, " ")].slice(0, LONGEST_NAME).join("").trim();
  const plain = short.toLowerCase().replace(/(^|[ \-'.])([a-z])/g, (_, a, b) => a + b.toUpperCase());
  if (plain === short && [...short.toLowerCase()].every((each) => LETTERS.includes(each))) {
    bits.add(0, 1);
    bits.add(short.length, 5);
    for (const each of short.toLowerCase()) bits.add(LETTERS.indexOf(each), 5);
    return;
  }
  const bytes = new TextEncoder().encode(short);
  bits.add(1, 1);
  bits.add(bytes.length, 7);
  for (const each of bytes) bits.add(each, 8);
}

/**
 * Return the numbers of printed signs, or nothing where one has none.
 * @param {string} text
 * @returns {number[] | null}
 */
function printed(text) {
  const signs = [...PRINTED];
  const found = [...text].map((each) => signs.indexOf(each));
  return found.length <= LONGEST_PRINTED && !found.includes(-1) ? found : null;
}

/**
 * Return the code of what is kept, in groups of four.
 * @param {import("./memory.js").Kept} kept
 * @param {{mark: string, order: string[]}} page
 * @returns {string}
 */
export function codeOf(kept, { mark, order }) {
  const bits = new Bits();
  bits.add(VERSION, 5);
  for (const each of mark) bits.add(SIGNS.indexOf(each), 5);
  bits.add(kept.day - FIRST_DAY, 15);
  bits.add(kept.ms / 60_000, 10);
  addName(bits, kept.name);
  const kinds = order.filter((kind) => kept.kinds[kind]).slice(0, 15);
  bits.add(kinds.length, 4);
  for (const kind of kinds) {
    const [asked, right] = kept.kinds[kind];
    bits.add(order.indexOf(kind), 6);
    bits.count(asked);
    bits.count(asked - Math.round(right));
  }
  addMixed(bits, kept);
  const { signs } = bits;
  const check = new Bits();
  check.add(crc32(signs) % 2 ** (5 * CHECK_SIGNS), 5 * CHECK_SIGNS);
  return (signs + check.signs).replace(/(.{4})(?=.)/g, "$1-");
}

/**
 * Add what was most often taken for what.
 * @param {Bits} bits
 * @param {import("./memory.js").Kept} kept
 * @returns {void}
 */
function addMixed(bits, kept) {
  const rows = mixedUp(kept)
    .map(({ right, given, times }) => ({ texts: [printed(right), printed(given)], times }))
    .filter(({ texts }) => texts.every((text) => text))
    .slice(0, MOST_MIXED);
  bits.add(rows.length, 2);
  for (const { texts, times } of rows) {
    bits.add(Math.min(times, MOST_TIMES), 3);
    for (const text of texts) {
      bits.add(text?.length ?? 0, 4);
      for (const each of text ?? []) bits.add(each, 6);
    }
  }
}
