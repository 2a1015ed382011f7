/**
 * Upright boxes [x0, y0, x1, y1], y down. No DOM here.
 *
 * @typedef {[number, number, number, number]} Box
 * @typedef {[number, number]} XY
 */

/**
 * @param {XY[]} points at least one
 * @returns {Box}
 */
export function boxAround(points) {
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

/**
 * @param {Box} box
 * @returns {XY[]} clockwise from the top left
 */
export function cornersOf([x0, y0, x1, y1]) {
  return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
}

/**
 * @param {Box} box
 * @param {number} by
 * @returns {Box}
 */
export function grown([x0, y0, x1, y1], by) {
  return [x0 - by, y0 - by, x1 + by, y1 + by];
}

/**
 * @param {Box} a
 * @param {Box} b
 */
export function overlaps(a, b) {
  return a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
}

/**
 * The nearest place for a mark that keeps off a text: straight away from the text's middle.
 *
 * @param {XY} centre where the mark wants to stand
 * @param {number} half half its side
 * @param {Box} text
 * @returns {XY} the same centre when the two do not meet
 */
export function keepOff(centre, half, text) {
  const keep = grown(text, half);
  const [x, y] = centre;
  if (x <= keep[0] || x >= keep[2] || y <= keep[1] || y >= keep[3]) return centre;
  const ways = [
    { far: x - keep[0], to: [keep[0], y] },
    { far: keep[2] - x, to: [keep[2], y] },
    { far: y - keep[1], to: [x, keep[1]] },
    { far: keep[3] - y, to: [x, keep[3]] },
  ];
  ways.sort((a, b) => a.far - b.far);
  return /** @type {XY} */ (ways[0].to);
}

/**
 * Where a panel of `size` goes beside a point so that it stays inside an area and off the point.
 *
 * @param {XY} point
 * @param {number} size side of the panel
 * @param {number} gap white kept to the point
 * @param {XY} area width and height
 * @param {boolean} above put it above where there is room (a finger hides what is below)
 * @returns {XY} its top left corner
 */
export function placeBeside([x, y], size, gap, [width, height], above) {
  const left = x + gap + size <= width ? x + gap : x - gap - size;
  const under = y + gap + size <= height && !(above && y - gap - size >= 0);
  const top = under ? y + gap : y - gap - size;
  const clamp = (/** @type {number} */ v, /** @type {number} */ most) => Math.min(Math.max(v, 0), Math.max(most, 0));
  return [clamp(left, width - size), clamp(top, height - size)];
}

/**
 * The middle of a view that shows a place but little beyond the sheet.
 *
 * @param {XY} wanted
 * @param {XY} view its width and height
 * @param {XY} sheet
 * @param {number} margin that may show around the sheet
 * @returns {XY} all in one unit
 */
export function keepFilled(wanted, view, sheet, margin) {
  return /** @type {XY} */ (wanted.map((at, k) => {
    const low = view[k] / 2 - margin;
    const high = sheet[k] - low;
    return low > high ? sheet[k] / 2 : Math.min(Math.max(at, low), high);
  }));
}
