import { api } from '../api.js';
import { el, textNodes } from '../core/elements.js';
import { button, line } from '../panels/tray.js';

const KEYS = 'Space: take the picked one · Backspace: take back · [ ]: other sheets · Esc: leave';
const WORDS = { same: 'the same', different: 'not the same', proposed: 'the same?' };

/** Same as: two dimensions, in two views, that are one feature; proposals accepted or refused. */
export class Linking {
  /** @param {any} page as for `Placing` */
  constructor(page) {
    Object.assign(this, page);
    /** @type {{number: number, says: string}|null} */
    this.first = null;
    /** @type {import('../types.js').Link[]} */
    this.links = [];
  }

  enable() {
    this.active = true;
    this.seen = -1;
    this.state.picker = (/** @type {string} */ key) => this.take(key);
    this.stop = this.state.on('change', () => this.refresh());
    this.invite();
    this.draw();
    this.refresh();
  }

  disable() {
    this.active = false;
    this.first = null;
    this.state.picker = null;
    this.stop?.();
    this.prompt.hide();
    this.tray.release();
  }

  invite() {
    this.prompt.say('Same as', this.first ? `Click the one that is the same as ${this.first.says}, in this view, another one, or on another sheet.` : 'Click a dimension, then the one that is the same feature.', 'info', KEYS);
  }

  async refresh() {
    const { revision } = this.state;
    if (this.seen === revision) return;
    this.seen = revision;
    const { links } = await api.links().catch(() => ({ links: this.links }));
    this.links = links;
    this.draw();
  }

  /** @param {string} key @returns {boolean} */
  take(key) {
    const row = this.state.sheet?.rows.find((/** @type {import('../types.js').Row} */ r) => r.key === key);
    if (!row?.kind) return false;
    if (!this.first || this.first.number === row.number) {
      this.first = this.first ? null : { number: row.number, says: `${row.number} (${row.printed?.text ?? row.feature})` };
      this.state.pick(key, { fly: false });
    } else this.link(this.first.number, row.number, true);
    this.invite();
    this.draw();
    return true;
  }

  /** @param {number} first @param {number} second @param {boolean} same */
  async link(first, second, same) {
    const done = await this.state.act((/** @type {number} */ revision) => api.setLink({ first, second, same, revision }));
    if (done) this.first = null;
    this.invite();
    this.draw();
  }

  draw() {
    if (!this.active) return;
    const proposed = this.links.filter((l) => l.state === 'proposed');
    const given = this.links.filter((l) => l.state !== 'proposed');
    this.tray.show('Same as',
      line(el('span', { class: 'soft strip-name', text: 'Same as' }), ...(given.length ? [] : [el('span', { class: 'soft', text: 'no two are linked yet' })])),
      ...given.map((l) => this.row(l)),
      proposed.length > 0 && line(el('span', { class: 'soft', text: `These ${proposed.length} may be meant: the same printed size in two views of a part` })),
      ...proposed.map((l) => this.row(l)));
  }

  /** @param {import('../types.js').Link} link */
  row(link) {
    const { first, second, state } = link;
    const key = `${first.dimension}-${second.dimension}`;
    const tone = state !== 'same' || link.agrees === null ? 'soft' : link.agrees ? 'agrees' : 'disagrees';
    const sign = state !== 'same' || link.agrees === null ? '·' : link.agrees ? '○' : '◆';
    const act = (/** @type {string} */ text, /** @type {() => void} */ press) => button(text, press, { focus: `${text}-${key}`, label: `${text}: ${first.dimension} and ${second.dimension}` });
    const back = () => this.state.act((/** @type {number} */ revision) => api.dropLink(first.dimension, second.dimension, revision));
    return line(this.one(first), el('span', { class: 'soft', text: WORDS[state] }), this.one(second),
      link.says && el('span', { class: tone }, el('span', { class: 'sign', text: sign }), ...textNodes(` ${link.says}`)),
      ...(state === 'proposed' ? [act('Yes, the same', () => this.link(first.dimension, second.dimension, true)), act('No', () => this.link(first.dimension, second.dimension, false))] : [act('Take back', back)]));
  }

  /** @param {import('../types.js').Linked} linked */
  one(linked) {
    return el('button', { type: 'button', class: 'chip', 'data-focus': `linked-${linked.dimension}`, title: linked.name, set: `${linked.dimension} · ${linked.printed || linked.name}`, on: { click: async () => { if (linked.sheet !== this.state.sheetId) await this.state.openSheet(linked.sheet); this.state.pick(`d${linked.dimension}`); } } });
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  key(event) {
    const { row } = this.state;
    if (event.key === ' ' && row?.kind) this.take(row.key);
    else if (event.key === 'Backspace' && this.first) {
      this.first = null;
      this.invite();
    } else return false;
    return true;
  }

  suspend() {}
}
