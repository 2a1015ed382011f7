import { api } from '../api.js';
import { el, setText } from '../core/elements.js';
import { sumSign } from './sum_words.js';

const WAIT_MS = 250; // after the last key; the answer comes while one types

/** A field for a sum that needs no sheet: `3 1/2 + 2 1/4 + 4X 1 1/8 = 10 1/4`, and its answer. */
export class TypedSum {
  /** @param {import('../audit_state.js').AuditState} state */
  constructor(state) {
    this.state = state;
    this.asked = 0;
    this.input = /** @type {HTMLInputElement} */ (el('input', { type: 'text', class: 'sum-field', 'aria-label': 'A sum, such as 3 1/2 + 2 1/4 = 5 3/4', placeholder: '3 1/2 + 2 1/4 + 4X 1 1/8 = 10 1/4', maxlength: 2000, autocomplete: 'off', spellcheck: 'false' }));
    this.answer = el('p', { class: 'sum-answer', role: 'status' });
    this.keep = el('button', { type: 'button', class: 'button small', text: 'Keep it', hidden: true, on: { click: () => this.keepIt() } });
    this.kept = el('div', { class: 'kept' });
    this.root = el('form', { class: 'typed-sum' }, el('label', { text: 'Or check a sum' }, this.input), el('div', { class: 'tray-line' }, this.answer, this.keep), this.kept);
    this.root.addEventListener('submit', (event) => { event.preventDefault(); this.ask(); });
    this.input.addEventListener('keydown', (event) => { event.stopPropagation(); if (event.key === 'Escape') this.input.blur(); });
    this.input.addEventListener('input', () => { clearTimeout(this.waiting); this.waiting = setTimeout(() => this.ask(), WAIT_MS); });
  }

  async ask() {
    const asked = (this.asked += 1);
    const text = this.input.value;
    if (!text.trim()) return this.say('', '');
    try {
      const sum = await api.addUp({ text });
      if (asked !== this.asked) return undefined;
      return this.say(`${sumSign(sum.closes).sign} ${sum.sentence}${sum.gap ? `, ${sum.gap}` : ''}${sum.rounding ? `; ${sum.rounding}` : ''}`, sumSign(sum.closes).tone, true);
    } catch (error) {
      return asked === this.asked ? this.say(String(/** @type {Error} */ (error).message), 'soft') : undefined;
    }
  }

  /** @param {string} text @param {string} tone @param {boolean} [sure] */
  say(text, tone, sure = false) {
    this.answer.className = `sum-answer ${tone}`;
    setText(this.answer, text);
    this.keep.hidden = !sure;
  }

  async keepIt() {
    const done = await this.state.act((revision) => api.keepSum({ text: this.input.value, revision }));
    if (!done) return;
    this.input.value = '';
    this.say('', '');
    await this.list();
  }

  /** Shows the sums that are kept. */
  async list() {
    const { sums } = await api.sums().catch(() => ({ sums: [] }));
    this.kept.replaceChildren(...sums.map((kept) => el('div', { class: 'kept-line' },
      el('span', { class: sumSign(kept.sum?.closes).tone, set: `${sumSign(kept.sum?.closes).sign} ${kept.name}: ${kept.sum ? `${kept.sum.sentence}${kept.sum.gap ? `, ${kept.sum.gap}` : ''}` : kept.problem}` }),
      el('button', { type: 'button', class: 'plain', text: '✕', 'aria-label': `Take ${kept.name} away`, on: { click: async () => { await this.state.act((revision) => api.dropSum(kept.name, revision)); await this.list(); } } }))));
  }
}
