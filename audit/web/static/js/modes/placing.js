import { api } from '../api.js';
import { Aim } from '../viewer/aim.js';
import { paperNames, parseRectangle, sortCorners } from '../geometry/papers.js';
import { Transform } from '../geometry/transform.js';
import { FoldList } from '../panels/fold_list.js';
import { KnownList } from '../panels/known_list.js';

const STILL_PX = 5; // a press that moves less is a click

/**
 * Placing points: aim, click, click; the last one does it. `enable` and `disable` in pairs.
 *
 * @typedef {[number, number]} XY
 */
export class Placing {
  /**
   * @param {{map: import('../viewer/sheet_map.js').SheetMap, state: import('../audit_state.js').AuditState,
   *          overlay: import('../viewer/overlay.js').Overlay, loupe: import('../viewer/magnifier.js').Magnifier,
   *          prompt: import('../panels/prompt.js').Prompt}} page
   */
  constructor(page) {
    Object.assign(this, page);
    this.holder = page.map.holder;
    this.aim = new Aim(page.map, page.state, page.loupe, () => this.draw());
    /** @type {import('./list.js').ModeKind|null} */
    this.mode = null;
    /** @type {{put: XY, free: boolean}[]} */
    this.points = [];
    this.queue = Promise.resolve();
    this.listeners = { pointerdown: this.press.bind(this), pointermove: this.hover.bind(this), pointerup: this.release.bind(this), pointerleave: this.leave.bind(this), pointercancel: this.leave.bind(this) };
  }

  /** @param {import('./list.js').ModeKind} mode */
  enable(mode) {
    this.mode = mode;
    this.points = [];
    this.holder.classList.add('placing');
    for (const [event, listener] of Object.entries(this.listeners)) this.holder.addEventListener(event, listener);
    this.stopLeaving = this.state.on('opening', () => this.reset());
    if (mode.known || mode.corners || mode.fold) {
      this.list = mode.fold ? new FoldList(this) : new KnownList(this);
      this.list.enable();
    }
    this.ask();
  }

  disable() {
    for (const [event, listener] of Object.entries(this.listeners)) this.holder.removeEventListener(event, listener);
    this.stopLeaving?.();
    this.list?.disable();
    this.list = null;
    this.holder.classList.remove('placing');
    this.map.setDragging(true);
    this.reset();
    this.mode = null;
    this.prompt.hide();
  }

  reset() {
    this.points = [];
    this.aim.stop();
    this.draw();
    if (this.mode) this.ask();
  }

  ask() {
    const what = this.mode.points[this.points.length];
    this.prompt.say(this.mode.word, `Click ${what}.`);
  }

  draw() {
    const aim = this.aim.target?.snap?.kind && this.aim.target.snap.kind !== 'nothing' && !this.aim.target.free ? this.aim.target.snap.point : this.aim.target?.put ?? null;
    this.overlay.setPlacing({ points: this.points.map((p) => p.put), aim, kind: this.mode?.kind ?? '' });
  }

  /** @param {PointerEvent} event @returns {XY} */
  at(event) {
    const box = this.holder.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  /** @param {PointerEvent} event */
  press(event) {
    if (!event.isPrimary) this.leave(); // a second finger pans and zooms: no point is meant
    if (this.asking || event.button !== 0 || !event.isPrimary || isControl(event)) return;
    this.pressed = this.at(event);
    this.touch = event.pointerType !== 'mouse';
    if (this.touch) {
      this.map.setDragging(false);
      this.aim.move(this.pressed, { free: event.shiftKey, touch: true });
    }
  }

  /** @param {PointerEvent} event */
  hover(event) {
    if (!event.isPrimary) {
      this.pressed = null; // a second finger pans and zooms
      return;
    }
    if (this.asking || isControl(event)) return;
    const at = this.at(event);
    const dragging = this.pressed && !this.touch && far(at, this.pressed) > STILL_PX;
    if (dragging) this.loupe.hide();
    else if (event.pointerType === 'mouse' || this.pressed) this.aim.move(at, { free: event.shiftKey, touch: event.pointerType !== 'mouse' });
  }

  /** @param {PointerEvent} event */
  release(event) {
    const pressed = this.pressed;
    this.pressed = null;
    if (this.touch) this.map.setDragging(true);
    if (!pressed || !event.isPrimary || isControl(event)) return;
    const at = this.at(event);
    if (!this.touch && far(at, pressed) > STILL_PX) return;
    const { target } = this.aim;
    this.putNext(target?.nudged ? Promise.resolve(target) : this.aim.resolve(this.map.toMap(at), event.shiftKey));
    this.aim.stop(); // the pointer may aim at the next point before this one is put
  }

  leave() {
    this.pressed = null;
    this.aim.stop();
  }

  /**
   * Puts points one after the other, each where it was clicked, however fast the clicks came.
   *
   * @param {Promise<import('../viewer/aim.js').Target|null>} coming
   */
  putNext(coming) {
    const { mode } = this;
    coming.catch(() => {}); // told below, when its turn has come
    this.queue = this.queue.then(async () => {
      const target = await this.state.attempt(() => coming);
      if (target && mode === this.mode) await this.put(target);
    });
  }

  /** @param {import('../viewer/aim.js').Target} target */
  async put(target) {
    if (!this.mode.fold && !target.free && target.snap?.kind === 'nothing' && this.map.scale < 0.99) {
      this.prompt.say(this.mode.word, 'Nothing to snap to here: zoom in, then click again.', 'warn');
      return;
    }
    this.points.push({ put: target.put, free: target.free });
    this.draw();
    if (this.points.length < this.mode.points.length) this.ask();
    else await this.finish();
  }

  async finish() {
    const toFrame = new Transform(this.state.sheet.from_frame).inverse();
    const wanted = {
      sheet: this.state.sheet.id,
      points: this.points.map((p) => toFrame.apply(p.put)),
      free: this.points.flatMap((p, n) => (p.free ? [n] : [])),
    };
    this.asking = Boolean(this.mode.known || this.mode.corners || this.mode.fold);
    this.finishing = true; // the points are given: Esc leaves the mode now, it does not take them back
    try {
      if (this.mode.known) await this.giveLength(wanted);
      else if (this.mode.corners) await this.giveRectangle();
      else if (this.mode.fold) await this.giveStep(wanted);
      else await this.measure(wanted);
    } finally {
      this.asking = false;
      this.finishing = false;
      if (this.mode) this.reset();
    }
  }

  /** @param {object} wanted */
  async measure(wanted) {
    this.prompt.say(this.mode.word, 'Measuring …');
    const kind = this.mode.kind;
    const done = await this.state.act((revision) => api.addDimension({ ...wanted, kind, revision }));
    if (done?.key) this.state.pick(done.key, { fly: false });
  }

  /** @param {object} wanted */
  async giveLength(wanted) {
    for (;;) {
      const length = await this.prompt.askText('Known size', 'How long is it really?', 'such as 4 in, 3 1/2, 100 mm');
      if (!length) return;
      const done = await this.state.act((revision) => api.addKnown({ ...wanted, length, revision }));
      if (done) {
        this.state.tell('The scale is set; every size on the sheet was judged anew');
        return;
      }
    }
  }

  /** @param {{sheet: number, points: XY[]}} wanted */
  async giveStep({ sheet, points }) {
    for (;;) {
      const typed = await this.prompt.askText('Fold, joint', 'How far may its two sides be shifted?', '1 mm, 1/32 in, ? unknown');
      if (!typed) return;
      const step = typed === '?' ? '' : typed;
      if (await this.state.act((/** @type {number} */ revision) => api.markFold(sheet, { points, step, revision }))) return;
    }
  }

  async giveRectangle() {
    const { sheet } = this.state;
    const placed = sortCorners(this.points.map((p) => p.put));
    const [a, b, , d] = placed;
    const wide = Math.hypot(b[0] - a[0], b[1] - a[1]) > Math.hypot(d[0] - a[0], d[1] - a[1]);
    const toFrame = new Transform(sheet.from_frame).inverse();
    const corners = placed.map((p) => toFrame.apply(p));
    for (;;) {
      const text = await this.prompt.askText('Four corners', 'How large is it, width x height as seen?', '11 x 8.5 in, A4, letter', paperNames());
      if (!text) return;
      const sides = parseRectangle(text, wide);
      if (!sides) this.state.tell('Write width x height, such as 11 x 8.5 in, or a paper: A4, letter', 'error');
      else if (await this.state.act((revision) => api.flatten(sheet.id, { ...sides, corners, revision }))) return;
    }
  }

  /** @param {KeyboardEvent} event @returns {boolean} whether the key was used */
  key(event) {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (step && this.aim.target) this.aim.nudge(step);
    else if (event.key === 'Enter' && this.aim.target) {
      this.putNext(this.aim.settle());
      this.aim.stop();
    }
    else if (this.finishing || !this.points.length) return false;
    else if (event.key === 'Escape') this.reset();
    else if (event.key === 'Backspace') {
      this.points.pop();
      this.draw();
      this.ask();
    } else return false;
    return true;
  }

  /** @param {boolean} held the key that suspends snapping */
  suspend(held) {
    this.aim.suspend(held);
  }
}

/** @param {XY} a @param {XY} b */
const far = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** @param {Event} event @returns {boolean} whether it is meant for a button or field over the sheet */
const isControl = (event) => event.target instanceof Element && Boolean(event.target.closest('button, input, form, .prompt, .zoomer, .empty'));
