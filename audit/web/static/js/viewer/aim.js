import { api } from '../api.js';
import { Transform } from '../geometry/transform.js';

const REACH_PX = 9; // screen px the pointer may be off
const NUDGE = 0.1; // px of the sheet for each press of an arrow key

/**
 * Where the next point will be put: under the pointer, at what it snaps to, or nudged by hand.
 *
 * @typedef {[number, number]} XY
 * @typedef {{at: XY, put: XY, free: boolean, snap: {point: XY, kind: string, sigma_px: number}|null}} Target map px
 */
export class Aim {
  /**
   * @param {import('./sheet_map.js').SheetMap} map
   * @param {import('../audit_state.js').AuditState} state
   * @param {import('./magnifier.js').Magnifier} loupe
   * @param {() => void} changed
   */
  constructor(map, state, loupe, changed) {
    Object.assign(this, { map, state, loupe, changed });
    /** @type {Target|null} */
    this.target = null;
    this.asked = 0;
    this.busy = false;
    this.again = false;
    this.suspended = false;
  }

  /** @param {XY} screen px of the holder @param {{free: boolean, touch: boolean}} how */
  move(screen, { free, touch }) {
    const at = this.map.toMap(screen);
    this.screen = screen;
    this.touch = touch;
    const near = this.target && !this.target.nudged ? this.target.snap : null;
    this.target = { at, put: at, free, snap: free ? null : near, nudged: false };
    this.show();
    if (!free) this.ask();
  }

  /** @param {boolean} free */
  suspend(free) {
    if (!this.target || this.target.free === free || this.target.nudged) return;
    this.move(this.screen, { free, touch: this.touch });
  }

  /** @param {XY} by steps of 0.1 px */
  nudge([dx, dy]) {
    if (!this.target) return;
    const { put } = this.target;
    this.asked += 1;
    const moved = /** @type {XY} */ ([put[0] + dx * NUDGE, put[1] + dy * NUDGE]);
    this.target = { at: moved, put: moved, free: true, snap: null, nudged: true };
    this.show();
  }

  /** Starts from a point that is there already. @param {XY} point map px */
  start(point) {
    this.screen = this.map.toScreenExactly(point);
    this.touch = false;
    this.target = { at: point, put: point, free: true, snap: null, nudged: true };
    this.show();
  }

  async ask() {
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    do {
      this.again = false;
      await this.askOnce();
    } while (this.again);
    this.busy = false;
  }

  async askOnce() {
    const { sheet } = this.state;
    const target = this.target;
    if (!target || target.free || !sheet) return;
    const toMap = new Transform(sheet.from_frame);
    const asked = (this.asked += 1);
    const reach = Math.min(REACH_PX / this.map.scale, 24) / toMap.stretch;
    const snap = await api.snap(sheet.id, toMap.inverse().apply(target.at), reach).catch(() => null);
    if (!snap || asked !== this.asked || !this.target || this.target.free) return;
    const point = toMap.apply(snap.point);
    const found = { ...snap, point };
    this.target = { ...this.target, snap: found, put: snap.kind === 'nothing' ? this.target.at : point };
    this.show();
  }

  /** Waits until it is known where the point will be put. @returns {Promise<Target|null>} */
  async settle() {
    while (this.busy) await new Promise((done) => setTimeout(done, 8));
    if (this.target && !this.target.free) await this.askOnce();
    return this.target;
  }

  show() {
    if (this.target) this.loupe.show({ ...this.target, screen: this.screen, touch: this.touch });
    this.changed();
  }

  stop() {
    this.asked += 1;
    this.target = null;
    this.loupe.hide();
    this.changed();
  }
}
