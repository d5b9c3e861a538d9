// Complex numbers, as pairs.

/** @typedef {[number, number]} Complex its real and its imaginary part */

/**
 * Return one number times another.
 * @param {Complex} one
 * @param {Complex} other
 * @returns {Complex}
 */
export function times([a, b], [c, d]) {
  return [a * c - b * d, a * d + b * c];
}

/**
 * Return one number over another.
 * @param {Complex} one
 * @param {Complex} other
 * @returns {Complex}
 */
export function over([a, b], [c, d]) {
  const size = c * c + d * d;
  return [(a * c + b * d) / size, (b * c - a * d) / size];
}
