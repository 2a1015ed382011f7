import { api } from '../api.js';
import { el, svg } from '../core/elements.js';
import { boxAround } from '../geometry/boxes.js';
import { button, choice, field, line } from '../panels/tray.js';
import { BoxDrawer } from '../viewer/box_drawer.js';
import { follow } from '../viewer/dragging.js';
import { Layer } from '../viewer/layer.js';

const KINDS = /** @type {[string, string][]} */ ([['unknown', 'not said'], ['true', 'true view'], ['section', 'section'], ['half', 'half, to a centre line'], ['broken', 'broken'], ['pictorial', 'pictorial'], ['flat pattern', 'flat pattern'], ['not to scale', 'not to scale']]);
const KEYS = 'click a view · drag its corners, or Tab to one and use the arrows · N: draw a new one · Esc: leave';
const SAVE_MS = 700; // after the last press of an arrow key

/** Views: what they are called, how they show the part, where they begin and end; split and join. */
export class Viewing {
  /** @param {any} page as for `Placing` */
  constructor(page) {
    Object.assign(this, page);
    this.layer = new Layer(page, 'viewing', () => this.drawBoxes());
    this.drawer = new BoxDrawer(page, this.layer, { box: (box) => this.add(box) });
    this.number = 0;
    /** @type {import('../types.js').Box|null} */
    this.dragged = null;
    this.drawing = false;
  }

  enable() {
    this.active = true;
    this.stop = this.state.on('change', () => this.draw());
    this.layer.enable();
    this.invite();
    this.draw();
  }

  disable() {
    this.active = false;
    if (this.dragged && this.view) this.save(this.view);
    this.setDrawing(false);
    this.stop?.();
    this.layer.disable();
    this.prompt.hide();
    this.tray.release();
  }

  /** @returns {import('../types.js').View[]} */
  get views() {
    return this.state.sheet?.views ?? [];
  }

  /** @returns {import('../types.js').View|undefined} */
  get view() {
    return this.views.find((v) => v.number === this.number) ?? (this.views.length === 1 ? this.views[0] : undefined);
  }

  invite() {
    this.prompt.say('Views', this.drawing ? 'Draw a box around the new view.' : 'Click a view to say what it is.', 'info', KEYS);
  }

  /** @param {boolean} on */
  setDrawing(on) {
    if (on !== this.drawing) this.drawer[on ? 'enable' : 'disable']();
    this.drawing = on;
    if (this.active) this.invite();
    if (this.active) this.draw();
  }

  draw() {
    if (!this.active) return;
    this.layer.draw();
    this.tray.show('Views', this.listLine(), this.view && this.editLine(this.view), this.view && this.moreLine(this.view));
  }

  listLine() {
    return line(el('span', { class: 'soft strip-name', text: 'Views' }), ...this.views.map((view) => el('button', { type: 'button', class: 'chip', 'aria-pressed': String(view === this.view), 'data-focus': `view-${view.number}`, text: `${view.name} · ${view.dimensions}`, title: `${view.dimensions} dimensions; ${view.scale}`, on: { click: () => this.select(view.number) } })),
      button(this.drawing ? 'Drawing …' : 'New view (N)', () => this.setDrawing(!this.drawing), { on: this.drawing, focus: 'new-view' }));
  }

  /** @param {import('../types.js').View} view */
  editLine(view) {
    return line(
      field('name', view.title, (title) => title.trim() !== view.title && this.edit(view, { title }), { size: 18, placeholder: view.name }),
      choice('kind', KINDS, view.kind, (kind) => this.edit(view, { kind })),
      field('stated scale', view.stated_scale, (text) => text.trim() !== view.stated_scale && this.edit(view, { stated_scale: text }), { size: 8, placeholder: '1:2' }),
      field('tolerance', view.tolerance, (text) => text.trim() !== view.tolerance && this.state.act((/** @type {number} */ revision) => api.setViewTolerance(view.number, { tolerance: text.trim() || null, revision })), { size: 8, placeholder: 'usual' }));
  }

  /** @param {import('../types.js').View} view */
  moreLine(view) {
    const others = this.views.filter((v) => v !== view);
    return line(el('small', { class: 'soft', set: view.scale }),
      others.length > 0 && choice('join into', [['', 'no other'], ...others.map((v) => /** @type {[string, string]} */ ([String(v.number), v.name]))], '', (into) => into && this.state.act((/** @type {number} */ revision) => api.joinView(view.number, { into: Number(into), revision }))));
  }

  /** @param {number} number */
  select(number) {
    this.number = number;
    this.draw();
  }

  /** @param {import('../types.js').View} view @param {object} side */
  edit(view, side) {
    return this.state.act((/** @type {number} */ revision) => api.editView(view.number, { ...side, revision }));
  }

  /** @param {number[]} box sheet frame */
  async add(box) {
    const before = new Set(this.views.map((v) => v.number));
    const { sheet } = this.state;
    this.setDrawing(false);
    const done = await this.state.act((/** @type {number} */ revision) => api.addView({ sheet: sheet.id, box, revision }));
    if (!done) return;
    await this.state.attempt(() => this.state.refresh());
    const added = this.views.find((v) => !before.has(v.number));
    if (added) this.select(added.number);
  }

  drawBoxes() {
    const mine = this.view;
    return this.views.flatMap((view) => {
      const box = view === mine && this.dragged ? this.dragged : view.box;
      const shape = this.layer.rect(box, { class: view === mine ? 'view-box picked' : 'view-box' });
      if (!this.drawing) shape.addEventListener('click', () => this.select(view.number));
      const [x, y] = this.page.overlay.boxOf(box);
      const name = svg('text', { x: x + 6, y: Math.max(y + 15, 15), class: 'view-name', text: view.name });
      return [shape, name, ...(view === mine && !this.drawing ? this.corners(view, box) : [])];
    });
  }

  get page() {
    return this.layer.page;
  }

  /** @param {import('../types.js').View} view @param {import('../types.js').Box} box */
  corners(view, box) {
    const [x0, y0, x1, y1] = this.page.overlay.boxOf(box);
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]].map(([x, y], n) => {
      const made = svg('g', { transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, class: 'view-corner', 'data-grab': '', 'data-focus': `corner-${n}`, role: 'button', tabindex: 0, 'aria-label': `corner ${n + 1} of ${view.name}: drag it` }, svg('circle', { r: 15, class: 'hit' }), svg('rect', { x: -5, y: -5, width: 10, height: 10 }));
      made.addEventListener('pointerdown', (/** @type {any} */ event) => this.drag(event, view, [x0, y0, x1, y1], n));
      made.addEventListener('keydown', (/** @type {any} */ event) => this.nudge(event, view, [x0, y0, x1, y1], n));
      return made;
    });
  }

  /**
   * The box of a view with one corner somewhere else.
   *
   * @param {number[]} box px of the holder @param {number} n @param {[number, number]} at
   * @returns {import('../types.js').Box} sheet frame
   */
  boxWith(box, n, at) {
    const now = [...box];
    now[n === 0 || n === 3 ? 0 : 2] = at[0];
    now[n < 2 ? 1 : 3] = at[1];
    return boxAround([this.layer.from([now[0], now[1]]), this.layer.from([now[2], now[3]])]);
  }

  /** @param {PointerEvent} event @param {import('../types.js').View} view @param {number[]} box screen @param {number} n */
  drag(event, view, box, n) {
    follow(event, this.map, (at) => { this.dragged = this.boxWith(box, n, at); this.layer.draw(); }, (at, moved) => {
      this.dragged = moved ? this.boxWith(box, n, at) : null;
      this.save(view);
    });
  }

  /** Arrow keys move a corner; it is saved when the keys rest. @param {KeyboardEvent} event @param {import('../types.js').View} view @param {number[]} box @param {number} n */
  nudge(event, view, box, n) {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!step) return;
    event.preventDefault();
    event.stopPropagation();
    const by = event.shiftKey ? 10 : 1;
    const corner = [box[n === 0 || n === 3 ? 0 : 2], box[n < 2 ? 1 : 3]];
    this.dragged = this.boxWith(box, n, [corner[0] + step[0] * by, corner[1] + step[1] * by]);
    this.layer.draw();
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.save(view), SAVE_MS);
  }

  /** @param {import('../types.js').View} view */
  async save(view) {
    clearTimeout(this.resting);
    const box = this.dragged;
    if (!box || this.saving) return;
    this.saving = true;
    await this.edit(view, { box });
    this.saving = false;
    if (this.dragged === box) this.dragged = null;
    this.draw();
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  key(event) {
    if (event.key.toLowerCase() === 'n') this.setDrawing(!this.drawing);
    else if (event.key === 'Escape' && this.drawing) this.setDrawing(false);
    else return false;
    return true;
  }

  suspend() {}
}
