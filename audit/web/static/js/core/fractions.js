/**
 * Finds fractions in a text, so that they can be set as fractions. No DOM here.
 *
 * @typedef {{kind: 'text', text: string} | {kind: 'fraction', over: string, under: string}} Piece
 */

const FRACTION = /(?<![\d./])(?:(\d+)([ -]))?(\d{1,3})\/(\d{1,3})(?![\d/]|\.\d)/g;

/**
 * @param {string} text
 * @returns {Piece[]} "3 9/32 short" is 3, 9 over 32, " short"
 */
export function splitFractions(text) {
  /** @type {Piece[]} */
  const pieces = [];
  let at = 0;
  for (const found of text.matchAll(FRACTION)) {
    const before = text.slice(at, found.index) + (found[1] ?? '');
    if (before) pieces.push({ kind: 'text', text: before });
    pieces.push({ kind: 'fraction', over: found[3], under: found[4] });
    at = found.index + found[0].length;
  }
  if (at < text.length) pieces.push({ kind: 'text', text: text.slice(at) });
  return pieces;
}
