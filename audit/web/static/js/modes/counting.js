import { api } from '../api.js';
import { el, svg } from '../core/elements.js';
import { button, field, isOnControl, keptChip, line } from '../panels/tray.js';
import { BoxDrawer } from '../viewer/box_drawer.js';
import { Layer } from '../viewer/layer.js';

const KEYS = 'drag: a box around one of them · click a mark: leave it out · click elsewhere: add one · Enter: keep · Esc: leave';

/** Count alike: one example, found again on the view; marks dropped or added by click. Only a note. */
export class Counting {
  /** @param {any} page as for `Placing` */
  constructor(page) {
    Object.assign(this, page);
    this.layer = new Layer(page, 'counting', () => this.drawPlaces());
    this.drawer = new BoxDrawer(page, this.layer, { box: (box) => this.find(box), click: (at) => this.add(at) });
    this.turned = true;
    this.whole = false;
    this.drop();
  }

  drop() {
    /** @type {import('../types.js').Box|null} sheet frame */
    this.box = null;
    /** @type {{at: [number, number], score: number|null, out: boolean}[]} */
    this.places = [];
    /** @type {number|null} */
    this.printed = null;
    this.printedText = '';
    this.name = '';
    this.looking = false;
  }

  enable() {
    this.active = true;
    this.stops = [this.state.on('change', () => this.draw()), this.state.on('opening', () => this.drop())];
    this.layer.enable();
    this.drawer.enable();
    this.invite();
    this.draw();
  }

  disable() {
    this.active = false;
    for (const stop of this.stops) stop();
    this.drawer.disable();
    this.layer.disable();
    this.prompt.hide();
    this.tray.release();
  }

  invite() {
    const what = this.looking ? 'Looking for the others …' : this.box ? 'Look them through: click a mark to leave it out, click elsewhere to add one.' : 'Draw a box around one of them.';
    this.prompt.say('Count alike', what, 'info', KEYS);
  }

  get seen() {
    return this.places.filter((p) => !p.out);
  }

  /** @param {import('../types.js').Box} box sheet frame */
  async find(box) {
    const { sheet } = this.state;
    this.box = box;
    this.places = [];
    this.looking = true;
    this.invite();
    this.draw();
    const found = await this.state.attempt(() => api.findAlike(sheet.id, { box, turned: this.turned, whole_sheet: this.whole }));
    this.looking = false;
    if (found && this.box === box) {
      this.places = found.hits.map((hit) => ({ at: hit.centre, score: hit.score, out: false }));
      this.printed = found.printed;
      this.printedText = found.printed_text;
    } else if (!found) this.box = null;
    if (!this.active) return;
    this.invite();
    this.draw();
  }

  /** @param {[number, number]} at sheet frame */
  add(at) {
    if (!this.box || this.looking) return;
    this.places.push({ at, score: null, out: false });
    this.draw();
  }

  draw() {
    if (!this.active) return;
    this.layer.draw();
    this.tray.show('Count alike', this.countLine(), this.keptLine());
  }

  countLine() {
    if (!this.box) return line(el('span', { class: 'soft strip-name', text: 'Count alike' }), el('span', { class: 'soft', text: 'What is seen on a drawing is only a note beside the printed number: some may be hidden or mirrored.' }), this.check('turned ones too', 'turned'), this.check('on the whole sheet', 'whole'));
    const seen = this.seen.length;
    const off = this.printed === null ? '' : seen === this.printed ? 'as many as are printed' : `${Math.abs(seen - this.printed)} ${seen < this.printed ? 'fewer' : 'more'} than are printed`;
    return line(el('span', { class: 'soft strip-name', text: 'Count alike' }), el('b', { class: 'total', text: this.looking ? '…' : `${seen} seen` }),
      field('printed', this.printed === null ? '' : String(this.printed), (text) => { this.printed = text.trim() === '' ? null : Math.max(0, Math.round(Number(text)) || 0); this.printedText = ''; this.draw(); }, { size: 4, placeholder: 'none' }),
      this.printedText && el('small', { class: 'soft', set: `from ${this.printedText}` }),
      off && el('span', { class: off.startsWith('as') ? 'agrees' : 'close' }, el('span', { class: 'sign', text: off.startsWith('as') ? '○' : '△' }), document.createTextNode(` ${off}`)),
      this.check('turned ones too', 'turned'), this.check('on the whole sheet', 'whole'),
      field('called', this.name, (text) => { this.name = text; }, { size: 10, placeholder: 'count' }),
      button('Keep', () => this.keep(), { go: true, disabled: this.looking }), button('Clear', () => { this.drop(); this.invite(); this.draw(); }));
  }

  /** @param {string} word @param {'turned'|'whole'} side */
  check(word, side) {
    const box = /** @type {HTMLInputElement} */ (el('input', { type: 'checkbox', checked: this[side], 'data-focus': `check-${side}` }));
    box.addEventListener('change', () => { this[side] = box.checked; if (this.box) this.find(this.box); });
    return el('label', { class: 'tray-field' }, box, el('span', { text: word }));
  }

  keptLine() {
    const counts = this.state.sheet.drawn_counts;
    if (!counts.length) return null;
    return line(el('span', { class: 'soft strip-name', text: 'kept' }), ...counts.map((count) => keptChip(count.name, [document.createTextNode(`${count.name}: ${count.says}`)], () => this.load(count), () => this.state.act((/** @type {number} */ revision) => api.dropCount(count.name, revision)))));
  }

  /** @param {import('../types.js').DrawnCount} count */
  load(count) {
    Object.assign(this, { box: count.example, places: count.places.map((at) => ({ at, score: null, out: false })), printed: count.printed, printedText: '', name: count.name });
    this.invite();
    this.draw();
  }

  drawPlaces() {
    if (!this.box) return this.state.sheet.drawn_counts.flatMap((c) => c.places.map((at) => this.mark({ at, score: null, out: false }, 0, false)));
    let n = 0;
    return [this.layer.rect(this.box, { class: 'example-box' }), ...this.places.map((place) => this.mark(place, place.out ? 0 : (n += 1), true))];
  }

  /** @param {{at: [number, number], score: number|null, out: boolean}} place @param {number} n @param {boolean} live */
  mark(place, n, live) {
    const [x, y] = this.layer.at(place.at);
    const says = place.out ? 'left out: click to count it' : `${n}${place.score === null ? ', added by hand' : `, alike by ${Math.round(place.score * 100)} %`}: click to leave it out`;
    const made = svg('g', { transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, class: `counted${place.out ? ' out' : ''}${live ? '' : ' kept'}`, ...(live ? { 'data-grab': '', tabindex: 0, role: 'button', 'data-focus': `place-${this.places.indexOf(place)}`, 'aria-pressed': String(!place.out), 'aria-label': says } : {}) }, svg('circle', { r: 9 }), svg('text', { 'text-anchor': 'middle', y: 3.5, text: place.out ? '✕' : n || '' }), svg('title', { text: says }));
    if (!live) return made;
    const toggle = () => {
      if (place.score === null) this.places = this.places.filter((p) => p !== place);
      else place.out = !place.out;
      this.draw();
    };
    made.addEventListener('click', toggle);
    made.addEventListener('keydown', (/** @type {any} */ event) => { if (event.key === 'Enter' || event.key === ' ') { event.preventDefault(); event.stopPropagation(); toggle(); } });
    return made;
  }

  async keep() {
    if (!this.box) return;
    const { sheet } = this.state;
    const body = { box: this.box, places: this.seen.map((p) => p.at), printed: this.printed, name: this.name };
    const done = await this.state.act((/** @type {number} */ revision) => api.keepCount(sheet.id, { ...body, revision }));
    if (!done) return;
    this.drop();
    this.invite();
    this.draw();
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  key(event) {
    if (event.key !== 'Enter' || !this.box || isOnControl(event)) return false;
    this.keep();
    return true;
  }

  suspend() {}
}
