import { api } from '../api.js';
import { Transform } from '../geometry/transform.js';

const REACH_PX = 9; // screen px the pointer may be off
const NUDGE = 0.1; // px of the sheet for each press of an arrow key

/**
 * Where the next point will be put: under the pointer, at what it snaps to, or nudged by hand.
 *
 * @typedef {[number, number]} XY
 * @typedef {{at: XY, put: XY, free: boolean, nudged?: boolean, snap: {point: XY, kind: string, sigma_px: number}|null}} Target map px
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
    const { target } = this;
    if (!target || target.free || !this.state.sheet) return;
    const asked = (this.asked += 1);
    const found = await this.resolve(target.at, false).catch(() => null);
    if (!found || asked !== this.asked || !this.target || this.target.free) return;
    this.target = { ...this.target, snap: found.snap, put: found.put };
    this.show();
  }

  /**
   * Finds what a place snaps to, whatever the pointer does meanwhile.
   *
   * @param {XY} at map px
   * @param {boolean} free
   * @returns {Promise<Target>}
   */
  async resolve(at, free) {
    if (free) return { at, put: at, free, snap: null };
    const { sheet } = this.state;
    const toMap = new Transform(sheet.from_frame);
    const reach = REACH_PX / this.map.scale / toMap.stretch;
    const snap = await api.snap(sheet.id, toMap.inverse().apply(at), reach);
    const point = toMap.apply(snap.point);
    return { at, free, snap: { ...snap, point }, put: snap.kind === 'nothing' ? at : point };
  }

  /** @returns {Promise<Target|null>} where the point under the pointer will be put */
  async settle() {
    const { target } = this;
    return target && (target.nudged ? target : this.resolve(target.at, target.free));
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
