import { api } from '../api.js';
import { svg } from '../core/elements.js';
import { Aim } from '../viewer/aim.js';
import { Transform } from '../geometry/transform.js';

const SAVE_MS = 700; // after the last nudge

/** Picking: marks and lines are clicked; the points of the picked dimension dragged or nudged. */
export class Picking {
  /** @param {any} page as for `Placing` */
  constructor(page) {
    Object.assign(this, page);
    this.aim = new Aim(page.map, page.state, page.loupe, () => this.draw());
    this.group = svg('g', { class: 'ends' });
    page.overlay.handles.append(this.group);
    this.held = -1;
    this.waiting = 0;
    /** @type {{key: string, n: number, point: [number, number]}|null} a point on its way to the server, map px */
    this.sent = null;
  }

  enable() {
    this.stops = [this.state.on('change', () => this.draw()), this.map.on('move', () => this.draw())];
    this.draw();
  }

  disable() {
    this.save();
    for (const stop of this.stops ?? []) stop();
    this.aim.stop();
    this.held = -1;
    this.group.replaceChildren();
  }

  draw() {
    const row = this.state.row;
    const { sheet } = this.state;
    if (this.drawing || !this.stops) return;
    if (!row || !sheet || row.verdict === null || !row.ends.length) {
      this.group.replaceChildren();
      return;
    }
    this.drawing = true;
    const toMap = new Transform(sheet.from_frame);
    row.ends.forEach((end, n) => this.drawEnd(row, n, toMap.apply(end.point)));
    while (this.group.children.length > row.ends.length) this.group.lastChild.remove();
    this.drawing = false;
  }

  /** @param {import('../types.js').Row} row @param {number} n @param {[number, number]} point map px */
  drawEnd(row, n, point) {
    const target = this.held === n ? this.aim.target : null;
    const put = target ? (target.free || !target.snap || target.snap.kind === 'nothing' ? target.put : target.snap.point) : point;
    const [x, y] = this.map.toScreenExactly(put);
    let handle = this.group.children[n];
    if (!handle) {
      handle = svg('g', { class: 'end', tabindex: 0, role: 'button' }, svg('circle', { r: 14, class: 'hit' }), svg('circle', { r: 5.5, class: 'end-shape' }), svg('circle', { r: 1.1, class: 'placing-dot' }));
      handle.addEventListener('pointerdown', (event) => this.grab(event, n));
      handle.addEventListener('keydown', (event) => this.nudge(event, n));
      handle.addEventListener('blur', () => this.save());
      this.group.append(handle);
    }
    handle.setAttribute('aria-label', `Point ${n + 1} of ${row.number}: drag it, or nudge it with the arrow keys`);
    handle.setAttribute('transform', `translate(${x.toFixed(2)} ${y.toFixed(2)})`);
  }

  /** @param {PointerEvent} event @param {number} n */
  grab(event, n) {
    event.preventDefault();
    event.stopPropagation();
    const handle = /** @type {Element} */ (event.currentTarget);
    handle.setPointerCapture(event.pointerId);
    this.map.setDragging(false);
    this.save();
    let moved = false;
    const move = (/** @type {PointerEvent} */ e) => {
      const box = this.map.holder.getBoundingClientRect();
      this.held = n;
      moved = true;
      this.aim.move([e.clientX - box.left, e.clientY - box.top], { free: e.shiftKey, touch: e.pointerType !== 'mouse' });
    };
    const drop = async () => {
      handle.removeEventListener('pointermove', move);
      handle.removeEventListener('pointerup', drop);
      handle.removeEventListener('pointercancel', drop);
      this.map.setDragging(true);
      if (moved) await this.put();
    };
    handle.addEventListener('pointermove', move);
    handle.addEventListener('pointerup', drop);
    handle.addEventListener('pointercancel', drop);
  }

  /** @param {KeyboardEvent} event @param {number} n */
  nudge(event, n) {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!step) return;
    event.preventDefault();
    event.stopPropagation();
    if (this.held !== n) {
      this.save();
      this.held = n;
      const { row, sheet } = this.state;
      const sent = this.sent?.key === row.key && this.sent.n === n ? this.sent.point : null;
      this.aim.start(sent ?? new Transform(sheet.from_frame).apply(row.ends[n].point));
    }
    this.aim.nudge(/** @type {[number, number]} */ (step));
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.save(), SAVE_MS);
  }

  save() {
    clearTimeout(this.waiting);
    if (this.held >= 0 && this.aim.target?.nudged) this.put();
  }

  async put() {
    const row = this.state.row;
    const held = this.held;
    const target = await this.aim.settle();
    this.held = -1;
    if (!row || !target || held < 0) return;
    const snapped = !target.free && target.snap && target.snap.kind !== 'nothing';
    const toMap = new Transform(this.state.sheet.from_frame);
    const sent = { key: row.key, n: held, point: snapped ? target.snap.point : target.put };
    const put = toMap.inverse().apply(sent.point);
    this.sent = sent;
    this.aim.stop();
    await this.state.act((revision) => {
      const { ends } = this.state.sheet?.rows.find((r) => r.key === row.key) ?? row; // as the action before left it
      const points = ends.map((end, n) => (n === held ? put : end.point));
      const free = ends.flatMap((end, n) => ((n === held ? target.free : end.kind === 'free') ? [n] : []));
      return api.movePoints(row.number, { points, free, revision });
    });
    if (this.sent === sent) this.sent = null;
  }

  key() {
    return false;
  }

  /** @param {boolean} held */
  suspend(held) {
    if (this.held >= 0) this.aim.suspend(held);
  }
}
