/**
 * A sum while it is being put together: picked legs, or a typed text. No DOM here.
 *
 * @typedef {{dimension: number, count: number}} Leg
 */
export class SumDraft {
  constructor() {
    this.clear();
  }

  clear() {
    /** @type {Leg[]} */
    this.legs = [];
    /** @type {Leg|null} */
    this.overall = null;
    this.text = '';
    this.wantsOverall = false;
    return this;
  }

  get isEmpty() {
    return !this.legs.length && !this.overall && !this.text.trim();
  }

  /**
   * Takes a picked dimension: as the overall when that is asked for, else as the next leg.
   * Picked again it goes away.
   *
   * @param {number} dimension
   */
  take(dimension) {
    this.text = '';
    const at = this.legs.findIndex((leg) => leg.dimension === dimension);
    if (this.overall?.dimension === dimension) this.overall = null;
    else if (at >= 0) this.legs.splice(at, 1);
    else if (this.wantsOverall) {
      this.overall = { dimension, count: 1 };
      this.wantsOverall = false;
    } else this.legs.push({ dimension, count: 1 });
  }

  /** @param {number} at @param {number} count equal legs in a row */
  setCount(at, count) {
    const leg = this.legs[at];
    if (leg) leg.count = Math.min(Math.max(Math.round(count) || 1, 1), 1000);
  }

  /** @param {number} at */
  drop(at) {
    this.legs.splice(at, 1);
  }

  /** Takes the last pick back. */
  back() {
    if (this.overall) this.overall = null;
    else this.legs.pop();
  }

  /** @param {string} text */
  type(text) {
    this.clear();
    this.text = text;
  }

  /** @returns {object} as the server takes it */
  get asked() {
    return this.text.trim() ? { text: this.text } : { legs: this.legs.map((leg) => ({ ...leg })), overall: this.overall && { ...this.overall } };
  }
}
