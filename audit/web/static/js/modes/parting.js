import { api } from '../api.js';
import { el, svg } from '../core/elements.js';
import { button, field, isOnControl, line } from '../panels/tray.js';
import { Layer } from '../viewer/layer.js';

const KEYS = 'click views and dimensions to give them to the part · Enter: keep · Esc: leave';
const BLANK = { name: '', replaces: '', count: null, material: '', nominal: '', measured: '', hand: '', views: [], dimensions: [] };

/** Part: which views and dimensions are of one part, what it is called and made of. */
export class Parting {
  /** @param {any} page as for `Placing` */
  constructor(page) {
    Object.assign(this, page);
    this.layer = new Layer(page, 'parting', () => this.drawViews());
    /** @type {import('../types.js').Part[]} */
    this.parts = [];
    /** @type {any} the part as it is being put together */
    this.part = { ...BLANK };
  }

  enable() {
    this.active = true;
    this.seen = -1;
    this.state.picker = (/** @type {string} */ key) => this.take(key);
    this.stop = this.state.on('change', () => this.refresh());
    this.layer.enable();
    this.prompt.say('Part', 'Name a part below, then click its views and dimensions.', 'info', KEYS);
    this.draw();
    this.refresh();
  }

  disable() {
    this.active = false;
    this.state.picker = null;
    this.stop?.();
    this.layer.disable();
    this.prompt.hide();
    this.tray.release();
  }

  async refresh() {
    const { revision } = this.state;
    if (this.seen === revision) return this.layer.draw();
    this.seen = revision;
    const { parts } = await api.parts().catch(() => ({ parts: this.parts }));
    this.parts = parts;
    return this.draw();
  }

  /** @param {string} key @returns {boolean} */
  take(key) {
    const row = this.state.sheet?.rows.find((/** @type {import('../types.js').Row} */ r) => r.key === key);
    if (!row?.kind) return false;
    this.toggle('dimensions', row.number);
    this.state.pick(key, { fly: false });
    return true;
  }

  /** @param {'views'|'dimensions'} what @param {number} number */
  toggle(what, number) {
    const list = this.part[what];
    this.part[what] = list.includes(number) ? list.filter((/** @type {number} */ n) => n !== number) : [...list, number];
    this.draw();
  }

  draw() {
    if (!this.active) return;
    this.layer.draw();
    this.tray.show('Parts', this.listLine(), this.nameLine(), this.memberLine());
  }

  listLine() {
    return line(el('span', { class: 'soft strip-name', text: 'Parts' }),
      ...this.parts.map((part) => el('span', { class: 'leg-box bare' },
        el('button', { type: 'button', class: 'chip', 'aria-pressed': String(part.name === this.part.replaces), 'data-focus': `part-${part.name}`, title: part.says, text: part.proposed ? `${part.name} ?` : part.name, on: { click: () => this.load(part) } }),
        !part.proposed && el('button', { type: 'button', class: 'plain tiny', text: '✕', 'aria-label': `Take ${part.name} away`, 'data-focus': `unpart-${part.name}`, on: { click: () => this.state.act((/** @type {number} */ revision) => api.dropPart(part.name, revision)) } }))),
      this.parts.some((p) => p.proposed) && el('small', { class: 'soft', text: '?: named by the plan, not yet by you' }),
      button('New part', () => { this.part = { ...BLANK }; this.draw(); /** @type {HTMLElement|null} */ (this.tray.root.querySelector('[data-focus="field-name"]'))?.focus(); }, { focus: 'new-part' }));
  }

  nameLine() {
    const { part } = this;
    const set = (/** @type {string} */ side) => (/** @type {string} */ text) => { part[side] = text.trim(); };
    const entry = (/** @type {string} */ word, /** @type {string} */ side, /** @type {object} */ how) => field(word, part[side], set(side), { live: set(side), ...how });
    return line(
      entry('name', 'name', { size: 16, placeholder: 'side plate' }),
      field('how many', part.count === null ? '' : String(part.count), (text) => { part.count = Number(text) || null; }, { size: 4 }),
      entry('material', 'material', { size: 10, placeholder: 'maple' }),
      entry('thickness called', 'nominal', { size: 6, placeholder: '3/4' }),
      entry('as it measures', 'measured', { size: 6, placeholder: '23/32' }),
      button('Keep', () => this.keep(), { go: true }));
  }

  memberLine() {
    const names = new Map((this.state.sheet?.views ?? []).map((/** @type {import('../types.js').View} */ v) => [v.number, v.name]));
    const { views, dimensions } = this.part;
    const chip = (/** @type {'views'|'dimensions'} */ what, /** @type {number} */ number, /** @type {string} */ text) => el('button', { type: 'button', class: 'chip', 'data-focus': `${what}-${number}`, 'aria-label': `leave ${text} out`, on: { click: () => this.toggle(what, number) } }, el('span', { text }), el('span', { class: 'soft', text: '✕' }));
    return line(el('span', { class: 'soft', text: views.length || dimensions.length ? 'has' : 'no view yet: click one on the sheet' }),
      ...views.map((/** @type {number} */ n) => chip('views', n, names.get(n) ?? `view ${n}`)),
      ...dimensions.map((/** @type {number} */ n) => chip('dimensions', n, `dimension ${n}`)));
  }

  /** @param {import('../types.js').Part} part */
  load(part) {
    this.part = { ...part, replaces: part.name };
    this.draw();
  }

  async keep() {
    const { part } = this;
    if (!part.name) {
      this.state.tell('Give the part a name first');
      return;
    }
    const body = Object.fromEntries(Object.keys(BLANK).map((side) => [side, part[side]]));
    const done = await this.state.act((/** @type {number} */ revision) => api.setPart({ ...body, revision }));
    if (done) this.part = { ...part, replaces: part.name };
    this.draw();
  }

  drawViews() {
    return (this.state.sheet?.views ?? []).flatMap((/** @type {import('../types.js').View} */ view) => {
      const mine = this.part.views.includes(view.number);
      const shape = this.layer.rect(view.box, { class: mine ? 'view-box picked' : 'view-box', role: 'button', tabindex: 0, 'data-focus': `box-${view.number}`, 'aria-pressed': String(mine), 'aria-label': `${view.name}: ${mine ? 'is of the part' : 'give it to the part'}` });
      shape.addEventListener('click', () => this.toggle('views', view.number));
      shape.addEventListener('keydown', (/** @type {any} */ event) => { if (event.key === ' ') { event.preventDefault(); event.stopPropagation(); this.toggle('views', view.number); } });
      const [x, y] = this.layer.page.overlay.boxOf(view.box);
      return [shape, svg('text', { x: x + 6, y: Math.max(y + 15, 15), class: 'view-name', text: `${mine ? '✓ ' : ''}${view.name}` })];
    });
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  key(event) {
    if (event.key !== 'Enter' || !this.part.name || isOnControl(event)) return false;
    this.keep();
    return true;
  }

  suspend() {}
}
