import { api } from '../api.js';
import { el, svg, textNodes } from '../core/elements.js';
import { angleTo, handleOf, slid, turned } from '../geometry/laying.js';
import { Transform } from '../geometry/transform.js';
import { button, choice, field, isOnControl, keptChip, line } from '../panels/tray.js';
import { follow } from '../viewer/dragging.js';
import { Layer } from '../viewer/layer.js';

const KEYS = 'drag it · arrows slide it 1 px (Shift: 0.1) · < > turn it 1° (Shift: 0.1°) · Enter: keep · Esc: leave';
const STALK_PX = 34;
const SHAPES = /** @type {[string, string][]} */ ([['rectangle', 'rectangle'], ['circle', 'circle']]);
export const EDGE_SIGNS = { over: '▲', short: '▽', flush: '○', unseen: '?' };
const EDGE_TONES = { over: 'disagrees', short: 'unprinted', flush: 'agrees', unseen: 'unknown' };

/** Lay a piece: a rectangle or circle of a given size on a view, its overhang at each edge. */
export class Laying {
  /** @param {any} page as for `Placing` */
  constructor(page) {
    Object.assign(this, page);
    this.layer = new Layer(page, 'laying', () => this.drawPiece());
    this.shape = 'rectangle';
    this.size = '';
    this.name = '';
    this.angle = 0;
    /** @type {[number, number]|null} sheet frame */
    this.centre = null;
    /** @type {import('../types.js').Laid|null} */
    this.laid = null;
    this.shift = /** @type {[number, number]} */ ([0, 0]);
    this.problem = '';
    this.click = (/** @type {PointerEvent} */ event) => this.press(event);
  }

  enable() {
    this.active = true;
    this.stops = [this.state.on('opening', () => this.drop()), this.state.on('change', () => this.draw())];
    this.map.holder.addEventListener('pointerdown', this.click);
    this.layer.enable();
    this.invite();
    this.draw();
    if (!this.size) this.tray.root.querySelector('[data-focus="field-size"]')?.focus();
  }

  disable() {
    this.active = false;
    for (const stop of this.stops) stop();
    this.map.holder.removeEventListener('pointerdown', this.click);
    this.layer.disable();
    this.prompt.hide();
    this.tray.release();
  }

  invite() {
    const what = !this.size ? 'Type the size of the piece below.' : this.centre ? 'Drag it, turn it, read the overhang at each edge.' : 'Click where the middle of the piece goes.';
    this.prompt.say('Lay a piece', what, 'info', KEYS);
  }

  /** @param {PointerEvent} event a click on the sheet puts the piece there */
  press(event) {
    const { target } = event;
    if (event.button !== 0 || !event.isPrimary || (target instanceof Element && target.closest('button, input, form, .prompt, .zoomer, [data-grab]'))) return;
    const start = [event.clientX, event.clientY];
    const up = (/** @type {PointerEvent} */ e) => {
      removeEventListener('pointerup', up);
      if (Math.hypot(e.clientX - start[0], e.clientY - start[1]) > 4) return; // the sheet was panned
      const box = this.map.holder.getBoundingClientRect();
      this.put(this.layer.from([e.clientX - box.left, e.clientY - box.top]));
    };
    addEventListener('pointerup', up);
  }

  /** @param {[number, number]} centre sheet frame */
  put(centre) {
    if (this.laid && this.centre) {
      const [from, to] = [this.layer.at(this.centre), this.layer.at(centre)];
      this.shift = [this.shift[0] + to[0] - from[0], this.shift[1] + to[1] - from[1]];
    }
    this.centre = centre;
    this.ask();
  }

  async ask() {
    this.invite();
    if (!this.size.trim() || !this.centre) {
      this.laid = null;
      this.draw();
      return;
    }
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    this.draw();
    do {
      this.again = false;
      await this.askOnce();
    } while (this.again);
    this.busy = false;
    this.draw();
  }

  async askOnce() {
    const { centre, state: { sheet } } = this;
    const before = this.shift;
    try {
      const laid = await api.layPiece(sheet.id, { shape: this.shape, size: this.size, centre, angle: this.angle });
      if (!this.centre) return;
      this.laid = laid;
      this.problem = '';
    } catch (error) {
      this.laid = null;
      this.problem = String(/** @type {Error} */ (error).message);
    }
    this.shift = [this.shift[0] - before[0], this.shift[1] - before[1]];
    this.layer.draw();
  }

  draw() {
    if (!this.active) return;
    this.layer.draw();
    this.tray.show('Lay a piece', this.sizeLine(), this.edgeLine(), this.keptLine());
  }

  sizeLine() {
    const round = this.shape === 'circle';
    return line(el('span', { class: 'soft strip-name', text: 'Piece' }),
      choice('shape', SHAPES, this.shape, (value) => { this.shape = value; this.ask(); }),
      field('size', this.size, (text) => this.setSize(text), { placeholder: round ? 'across: 1/2' : 'width x height: 3/4 x 2', size: 20 }),
      field('turned °', String(this.angle), (text) => { this.angle = Number(text) || 0; this.ask(); }, { size: 5 }),
      field('called', this.name, (text) => { this.name = text; }, { placeholder: 'piece', size: 10 }),
      button('Keep', () => this.keep(), { go: true, disabled: !this.laid }),
      button('Take off', () => this.drop(), { disabled: !this.centre }));
  }

  /** @param {string} text */
  setSize(text) {
    if (text === this.size) return;
    this.size = text;
    this.centre ??= this.middle();
    this.ask();
  }

  /** @returns {[number, number]} sheet frame: what is in the middle of the screen */
  middle() {
    return this.layer.from([this.map.holder.clientWidth / 2, this.map.holder.clientHeight / 2]);
  }

  edgeLine() {
    if (this.problem) return line(el('span', { class: 'close', role: 'status', set: this.problem }));
    if (!this.laid) return line(el('span', { class: 'soft', text: 'How far it reaches over each drawn edge is told here, with its ±.' }));
    return line(...this.laid.edges.map((edge) => el('span', { class: this.busy ? 'edge waits' : 'edge' }, el('span', { class: 'soft', text: edge.side }), el('span', { class: EDGE_TONES[edge.state] }, el('span', { class: 'sign', text: EDGE_SIGNS[edge.state], title: edge.state }), ...textNodes(` ${edge.says}`)))),
      el('small', { class: 'soft', text: `in ${this.laid.unit === 'in' ? 'inches' : 'millimetres'}; over: past the line` }));
  }

  keptLine() {
    const { pieces } = this.state.sheet;
    if (!pieces.length) return null;
    return line(el('span', { class: 'soft strip-name', text: 'kept' }), ...pieces.map((piece) => keptChip(piece.name, textNodes(`${piece.name}: ${piece.size}`), () => this.load(piece), () => this.state.act((/** @type {number} */ revision) => api.dropPiece(piece.name, revision)))));
  }

  /** @param {import('../types.js').Piece} piece */
  load(piece) {
    Object.assign(this, { shape: piece.shape, size: piece.size, angle: piece.angle, name: piece.name, centre: piece.centre });
    this.ask();
  }

  drawPiece() {
    const others = this.state.sheet.pieces.filter((p) => p.outline.length && p.name !== this.name).map((p) => svg('polygon', { points: this.layer.points(p.outline), class: 'piece kept' }));
    if (!this.laid || !this.centre) return others;
    const by = /** @type {[number, number]} */ (this.shift);
    const outline = slid(this.laid.outline.map((p) => this.layer.at(p)), by);
    const middle = slid([this.layer.at(this.centre)], [0, 0])[0];
    const body = svg('polygon', { points: outline.map((p) => p.join(',')).join(' '), class: 'piece', 'data-grab': '', tabindex: 0, role: 'button', 'data-focus': 'piece', 'aria-label': `piece ${this.laid.size}: drag it, or slide it with the arrow keys` });
    body.addEventListener('pointerdown', (/** @type {any} */ event) => this.grab(event));
    const [hx, hy] = handleOf(middle, outline, STALK_PX);
    const [ex, ey] = handleOf(middle, outline, 0);
    const stalk = svg('line', { x1: ex, y1: ey, x2: hx, y2: hy, class: 'stalk' });
    const knob = svg('g', { transform: `translate(${hx.toFixed(1)} ${hy.toFixed(1)})`, class: 'knob', 'data-grab': '', tabindex: 0, role: 'slider', 'data-focus': 'knob', 'aria-label': 'turn the piece', 'aria-valuenow': this.angle, 'aria-valuemin': -180, 'aria-valuemax': 180 }, svg('circle', { r: 16, class: 'hit' }), svg('circle', { r: 7, class: 'knob-shape' }), svg('title', { text: `turned ${this.angle}°` }));
    knob.addEventListener('pointerdown', (/** @type {any} */ event) => this.turn(event));
    const labels = Math.abs(by[0]) + Math.abs(by[1]) > 0.01 ? [] : this.laid.edges.map((edge) => this.label(edge, middle));
    return [...others, body, stalk, knob, svg('circle', { cx: middle[0], cy: middle[1], r: 2, class: 'placing-dot' }), ...labels];
  }

  /** @param {import('../types.js').LaidEdge} edge @param {[number, number]} middle */
  label(edge, middle) {
    const [x, y] = this.layer.at(edge.at);
    const [dx, dy] = [middle[0] - x, middle[1] - y];
    const far = Math.hypot(dx, dy) || 1;
    const level = edge.side === 'top' || edge.side === 'bottom';
    const outside = far < (level ? 34 : 120); // in a small piece the words would meet
    const inward = outside ? -14 : 18;
    const start = (edge.side === 'left') !== outside;
    return svg('text', { x: (x + (dx / far) * inward).toFixed(1), y: (y + (dy / far) * inward + 4).toFixed(1), class: `edge-says ${edge.state}`, 'text-anchor': level ? 'middle' : start ? 'start' : 'end', text: `${EDGE_SIGNS[edge.state]} ${edge.state === 'unseen' ? 'no line' : edge.says.split(' ±')[0]}` });
  }

  /** @param {PointerEvent} event slides the piece */
  grab(event) {
    const box = this.map.holder.getBoundingClientRect();
    const start = [event.clientX - box.left, event.clientY - box.top];
    const from = this.layer.at(this.centre);
    const shiftFrom = this.shift;
    follow(event, this.map, (at) => {
      const by = /** @type {[number, number]} */ ([at[0] - start[0], at[1] - start[1]]);
      this.centre = this.layer.from([from[0] + by[0], from[1] + by[1]]);
      this.shift = [shiftFrom[0] + by[0], shiftFrom[1] + by[1]];
      this.layer.draw();
    }, () => this.ask());
  }

  /** @param {PointerEvent} event turns it */
  turn(event) {
    const middle = this.layer.at(this.centre);
    follow(event, this.map, (at) => { this.angle = angleTo(middle, at, event.shiftKey); this.ask(); }, () => this.ask());
  }

  async keep() {
    if (!this.laid) return;
    const { sheet } = this.state;
    const done = await this.state.act((/** @type {number} */ revision) => api.keepPiece(sheet.id, { shape: this.shape, size: this.size, centre: this.centre, angle: this.angle, name: this.name, revision }));
    if (done) this.drop();
  }

  drop() {
    Object.assign(this, { centre: null, laid: null, problem: '', name: '', shift: [0, 0] });
    this.invite();
    this.draw();
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  key(event) {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (step && this.centre) {
      const toMap = new Transform(this.state.sheet.from_frame);
      const [x, y] = toMap.apply(this.centre);
      const by = event.shiftKey ? 0.1 : 1;
      this.put(toMap.inverse().apply([x + step[0] * by, y + step[1] * by]));
    } else if ('<>,.'.includes(event.key) && this.centre) {
      this.angle = turned(this.angle, '>.'.includes(event.key) ? 1 : -1, event.shiftKey);
      this.ask();
    } else if (event.key === 'Enter' && this.laid && !isOnControl(event)) this.keep();
    else return false;
    return true;
  }

  suspend() {}
}
