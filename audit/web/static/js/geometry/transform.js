/**
 * A projective map of the plane, row-major, acting on (x, y, 1). No DOM here.
 *
 * @typedef {[number, number]} XY
 */
export class Transform {
  /** @param {number[][]} rows three rows of three */
  constructor(rows) {
    this.rows = rows;
  }

  /**
   * @param {XY} point
   * @returns {XY}
   */
  apply([x, y]) {
    const [a, b, c] = this.rows;
    const w = c[0] * x + c[1] * y + c[2];
    return [(a[0] * x + a[1] * y + a[2]) / w, (b[0] * x + b[1] * y + b[2]) / w];
  }

  /** @returns {Transform} the way back */
  inverse() {
    const [[a, b, c], [d, e, f], [g, h, i]] = this.rows;
    const determinant = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
    if (Math.abs(determinant) < 1e-18) throw new RangeError('this transform has no way back');
    const k = 1 / determinant;
    return new Transform([
      [(e * i - f * h) * k, (c * h - b * i) * k, (b * f - c * e) * k],
      [(f * g - d * i) * k, (a * i - c * g) * k, (c * d - a * f) * k],
      [(d * h - e * g) * k, (b * g - a * h) * k, (a * e - b * d) * k],
    ]);
  }

  /** @returns {number} how much lengths grow, at the origin */
  get stretch() {
    const [a, b] = this.rows;
    return Math.sqrt(Math.abs(a[0] * b[1] - a[1] * b[0]));
  }
}
