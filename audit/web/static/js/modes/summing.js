import { api } from '../api.js';
import { el, svg, textNodes } from '../core/elements.js';
import { SumDraft } from '../geometry/sum_draft.js';
import { sumSign } from '../panels/sum_words.js';
import { button, field, isOnControl, keptChip, line } from '../panels/tray.js';
import { Layer } from '../viewer/layer.js';

const KEYS = 'Space: take the picked one · = : the overall · 2–9: so many alike · Backspace: take back · Enter: keep · Esc: leave';

/** Chain by hand: sizes picked one after the other, or typed; exact sum, overall, rounding. */
export class Summing {
  /** @param {any} page as for `Placing` */
  constructor(page) {
    Object.assign(this, page);
    this.draft = new SumDraft();
    this.layer = new Layer(page, 'summing', () => this.drawPicked());
    this.name = '';
    /** @type {import('../types.js').Sum|null} */
    this.sum = null;
    this.problem = '';
    /** @type {import('../types.js').KeptSum[]} */
    this.kept = [];
    this.asked = 0;
  }

  enable() {
    this.active = true;
    this.state.picker = (/** @type {string} */ key) => this.take(key);
    this.stop = this.state.on('change', () => this.refresh());
    this.layer.enable();
    this.prompt.say('Chain', this.invitation, 'info', KEYS);
    this.draw();
    this.seen = -1;
    this.refresh();
  }

  disable() {
    this.active = false;
    this.state.picker = null;
    this.layer.disable();
    this.stop?.();
    this.prompt.hide();
    this.tray.release();
  }

  /** Begins with the legs of a chain that the tool found. @param {import('../types.js').Chain} chain */
  begin(chain) {
    this.draft.clear();
    for (const leg of chain.legs) if (leg.dimension !== null) this.draft.legs.push({ dimension: leg.dimension, count: 1 });
    if (chain.overall?.dimension) this.draft.overall = { dimension: chain.overall.dimension, count: 1 };
    this.ask();
  }

  get invitation() {
    return this.draft.wantsOverall ? 'Click the size they should come to.' : 'Click the sizes to add up, one after the other; or type them below.';
  }

  /** @param {string} key @returns {boolean} */
  take(key) {
    const row = this.state.sheet?.rows.find((/** @type {import('../types.js').Row} */ r) => r.key === key);
    if (!row?.kind) return false;
    this.draft.take(row.number);
    this.state.pick(key, { fly: false });
    this.ask();
    return true;
  }

  async refresh() {
    const revision = this.state.revision;
    if (this.seen === revision) return;
    this.seen = revision;
    const { sums } = await api.sums().catch(() => ({ sums: this.kept }));
    this.kept = sums;
    if (!this.draft.isEmpty) await this.ask();
    else this.draw();
  }

  async ask() {
    this.prompt.say('Chain', this.invitation, 'info', KEYS);
    const asked = (this.asked += 1);
    let sum = null;
    let problem = '';
    if (this.draft.text.trim() || this.draft.legs.length) {
      try {
        sum = await api.addUp(this.draft.asked);
      } catch (error) {
        problem = String(/** @type {Error} */ (error).message);
      }
    }
    if (asked !== this.asked) return;
    this.sum = sum;
    this.problem = problem;
    this.draw();
  }

  draw() {
    if (!this.active) return;
    this.layer.draw();
    this.tray.show('Chain', this.sumLine(), this.saysLine(), this.typeLine(), this.keptLine());
  }

  sumLine() {
    const { sum, draft } = this;
    const parts = sum ? sum.legs.flatMap((leg, n) => [n > 0 && el('span', { class: 'plus', text: '+' }), this.leg(leg, n)]) : [el('span', { class: 'soft', text: draft.isEmpty ? 'no size yet' : '…' })];
    if (!sum && this.problem) parts.splice(0, 1, el('span', { class: 'close', set: this.problem }), ...draft.legs.map((leg, n) => this.chip(`${leg.dimension}`, n)));
    const sign = sumSign(sum?.closes);
    return line(el('span', { class: 'soft strip-name', text: 'Chain' }), ...parts,
      sum && el('span', { class: 'plus', text: '=' }), sum && el('b', { class: 'total', set: sum.total }),
      this.overall(), sum?.gap && el('span', { class: `gap ${sign.tone}` }, el('span', { class: 'sign', text: sign.sign, title: sign.word }), ...textNodes(` ${sum.gap}`)));
  }

  /** @param {import('../types.js').SumTerm} leg @param {number} n */
  leg(leg, n) {
    if (leg.dimension === null) return el('span', { class: 'leg fixed', set: leg.says });
    const count = /** @type {HTMLInputElement} */ (el('input', { type: 'number', class: 'times', min: 1, max: 1000, value: leg.count, 'aria-label': `how many of ${leg.says}, taken as alike`, title: 'taken as alike: how many', 'data-focus': `times-${n}` }));
    count.addEventListener('keydown', (event) => { event.stopPropagation(); if (event.key === 'Escape') count.blur(); });
    count.addEventListener('change', () => { this.draft.setCount(n, Number(count.value)); this.ask(); });
    const says = leg.count > 1 ? leg.says.replace(/^\d+ × /, '') : leg.says;
    return el('span', { class: `leg-box${leg.count > 1 ? ' alike' : ''}` }, count, el('span', { class: 'soft', text: '×' }), this.chip(says, n));
  }

  /** @param {string} says @param {number} n */
  chip(says, n) {
    const { dimension } = this.draft.legs[n] ?? {};
    const picked = `d${dimension}` === this.state.picked;
    return el('span', { class: 'leg-box bare' },
      el('button', { type: 'button', class: picked ? 'leg picked' : 'leg', set: says, 'data-focus': `leg-${n}`, title: `dimension ${dimension}`, on: { click: () => this.state.pick(`d${dimension}`) } }),
      el('button', { type: 'button', class: 'plain tiny', text: '✕', 'aria-label': `leave ${says} out`, 'data-focus': `drop-${n}`, on: { click: () => { this.draft.drop(n); this.ask(); } } }));
  }

  overall() {
    const { overall, text, wantsOverall } = this.draft;
    const says = this.sum?.overall?.says;
    if (text.trim()) return says ? el('span', { class: 'soft', set: `should be ${says}` }) : null;
    return el('span', { class: 'leg-box bare' }, el('span', { class: 'soft', text: 'overall' }),
      overall
        ? el('button', { type: 'button', class: 'leg', set: says ?? String(overall.dimension), 'data-focus': 'overall', on: { click: () => this.state.pick(`d${overall.dimension}`) } })
        : el('button', { type: 'button', class: `leg unset${wantsOverall ? ' picked' : ''}`, 'aria-pressed': String(wantsOverall), 'data-focus': 'overall', text: wantsOverall ? 'click it …' : 'pick', on: { click: () => this.wantOverall() } }),
      overall && el('button', { type: 'button', class: 'plain tiny', text: '✕', 'aria-label': 'leave the overall out', 'data-focus': 'drop-overall', on: { click: () => { this.draft.overall = null; this.ask(); } } }));
  }

  wantOverall() {
    this.draft.wantsOverall = !this.draft.wantsOverall;
    this.prompt.say('Chain', this.invitation, 'info', KEYS);
    this.draw();
  }

  saysLine() {
    const { sum } = this;
    if (!sum || (!sum.rounding && !sum.decided)) return null;
    const sign = sumSign(sum.decided_closes);
    return line(sum.rounding && el('small', { class: 'soft', set: sum.rounding }),
      sum.decided && el('span', { class: `decided ${sign.tone}`, role: 'status' }, el('span', { class: 'sign', text: sign.sign }), ...textNodes(` ${sum.decided_closes === false ? 'Stands against what was decided: ' : 'With what was decided: '}${sum.decided}`)));
  }

  typeLine() {
    return line(
      field('or type', this.draft.text, (text) => this.typed(text), { placeholder: '3 1/2 + 2 1/4 + 4X 1 1/8 = 10 1/4', size: 40 }),
      field('called', this.name, (text) => { this.name = text; }, { placeholder: 'sum', size: 10 }),
      button('Keep', () => this.keep(), { go: true, disabled: !this.sum }),
      button('Clear', () => { this.draft.clear(); this.name = ''; this.ask(); }, { disabled: this.draft.isEmpty }));
  }

  /** @param {string} text */
  typed(text) {
    if (text.trim() === this.draft.text.trim()) return;
    this.draft.type(text);
    this.ask();
  }

  keptLine() {
    if (!this.kept.length) return null;
    return line(el('span', { class: 'soft strip-name', text: 'kept' }), ...this.kept.map((kept) => {
      const sign = sumSign(kept.sum?.closes);
      const says = [el('span', { class: `sign ${sign.tone}`, text: sign.sign }), el('span', { set: `${kept.name}${kept.sum?.gap ? `: ${kept.sum.gap}` : ''}`, title: kept.sum?.sentence ?? kept.problem })];
      return keptChip(kept.name, says, () => { this.name = kept.name; this.draft.type(kept.typed); this.ask(); }, () => this.state.act((/** @type {number} */ revision) => api.dropSum(kept.name, revision)));
    }));
  }

  async keep() {
    if (!this.sum) return;
    const done = await this.state.act((/** @type {number} */ revision) => api.keepSum({ ...this.draft.asked, name: this.name, revision }));
    if (!done) return;
    this.draft.clear();
    this.name = '';
    this.sum = null;
    this.draw();
  }

  /** Rings the sizes that are in the sum, in their order; the overall twice. */
  drawPicked() {
    const { legs, overall } = this.draft;
    const every = [...legs.map((leg, n) => ({ leg, says: leg.count > 1 ? `${n + 1} · ${leg.count}×` : String(n + 1), name: 'summed' })), ...(overall ? [{ leg: overall, says: '=', name: 'summed overall' }] : [])];
    return every.flatMap(({ leg, says, name }) => {
      const row = this.state.sheet?.rows.find((/** @type {import('../types.js').Row} */ r) => r.key === `d${leg.dimension}`);
      const box = row?.printed?.box ?? row?.boxes[0];
      if (!box) return [];
      const shape = this.layer.rect(box, { class: name, rx: 4 });
      const x = Number(shape.getAttribute('x')) + Number(shape.getAttribute('width')) + 4;
      return [shape, svg('text', { x, y: Number(shape.getAttribute('y')) + 3, class: 'summed-number', text: says })];
    });
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  key(event) {
    const row = this.state.row;
    if (event.key === ' ' && row?.kind) this.take(row.key);
    else if (event.key === '=') this.wantOverall();
    else if (/^[1-9]$/.test(event.key) && this.draft.legs.length) {
      this.draft.setCount(this.draft.legs.length - 1, Number(event.key));
      this.ask();
    } else if (event.key === 'Backspace' && !this.draft.isEmpty) {
      this.draft.back();
      this.ask();
    } else if (event.key === 'Enter' && this.sum && !isOnControl(event)) this.keep();
    else return false;
    return true;
  }

  suspend() {}
}
