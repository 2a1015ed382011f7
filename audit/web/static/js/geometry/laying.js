/**
 * Turning and sliding a laid piece. No DOM here.
 *
 * @typedef {[number, number]} XY
 */

const STEP_DEG = 1;
const FINE_DEG = 0.1;
const CATCH_DEG = 1.5; // turned by hand this near to a quarter turn: the quarter turn

/**
 * Where the handle for turning stands: above the top edge, away from the middle.
 *
 * @param {XY} centre
 * @param {XY[]} outline corners clockwise from the top left, or points around a circle
 * @param {number} away beyond the top edge
 * @returns {XY} in the same px
 */
export function handleOf(centre, outline, away) {
  const square = outline.length === 4;
  const top = square ? [(outline[0][0] + outline[1][0]) / 2, (outline[0][1] + outline[1][1]) / 2] : outline[Math.round(outline.length * 0.75) % outline.length];
  const [dx, dy] = [top[0] - centre[0], top[1] - centre[1]];
  const far = Math.hypot(dx, dy) || 1;
  return [top[0] + (dx / far) * away, top[1] + (dy / far) * away];
}

/**
 * The angle at which the handle follows the pointer.
 *
 * @param {XY} centre
 * @param {XY} at
 * @param {boolean} free not drawn to quarter turns
 * @returns {number} degrees clockwise, 0: the handle is straight above
 */
export function angleTo(centre, at, free) {
  const turn = (Math.atan2(at[0] - centre[0], centre[1] - at[1]) * 180) / Math.PI;
  const quarter = Math.round(turn / 90) * 90;
  return tidy(!free && Math.abs(turn - quarter) < CATCH_DEG ? quarter : turn);
}

/**
 * @param {number} angle
 * @param {number} steps
 * @param {boolean} fine
 * @returns {number} degrees
 */
export function turned(angle, steps, fine) {
  return tidy(angle + steps * (fine ? FINE_DEG : STEP_DEG));
}

/** @param {number} angle @returns {number} to a tenth, above -180 up to 180 */
export function tidy(angle) {
  const tenths = ((Math.round(angle * 10) % 3600) + 3600) % 3600;
  return (tenths > 1800 ? tenths - 3600 : tenths) / 10;
}

/**
 * @param {XY[]} points
 * @param {XY} by
 * @returns {XY[]}
 */
export function slid(points, [dx, dy]) {
  return points.map(([x, y]) => [x + dx, y + dy]);
}
