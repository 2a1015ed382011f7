/**
 * Straight pieces. No DOM here.
 *
 * @typedef {[number, number]} XY
 * @typedef {[number, number, number, number]} Box
 */

/**
 * Where a segment runs inside a box (Liang and Barsky's clipping).
 *
 * @param {XY} a
 * @param {XY} b
 * @param {Box} box
 * @returns {[number, number]|null} shares of the way from a to b, 0 to 1
 */
export function sharesInside(a, b, [x0, y0, x1, y1]) {
  let enter = 0;
  let leave = 1;
  const sides = [[a[0] - b[0], a[0] - x0], [b[0] - a[0], x1 - a[0]], [a[1] - b[1], a[1] - y0], [b[1] - a[1], y1 - a[1]]];
  for (const [run, room] of sides) {
    if (run === 0 && room < 0) return null;
    if (run === 0) continue;
    const at = room / run;
    if (run < 0) enter = Math.max(enter, at);
    else leave = Math.min(leave, at);
  }
  return enter < leave ? [enter, leave] : null;
}

/**
 * What is left of a segment when the part under a text is taken out.
 *
 * @param {XY} a
 * @param {XY} b
 * @param {Box} box
 * @returns {[XY, XY][]}
 */
export function cutOut(a, b, box) {
  const inside = sharesInside(a, b, box);
  if (!inside) return [[a, b]];
  const at = (/** @type {number} */ share) => /** @type {XY} */ ([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]);
  /** @type {[XY, XY][]} */
  const left = [];
  if (inside[0] > 0) left.push([a, at(inside[0])]);
  if (inside[1] < 1) left.push([at(inside[1]), b]);
  return left;
}
