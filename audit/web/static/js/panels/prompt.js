import { el } from '../core/elements.js';

const POINT_KEYS = 'Shift: no snapping · arrow keys: 0.1 px · Esc: back';

/** The line over the sheet that says what to do next, and asks for what it needs. */
export class Prompt {
  /** @param {HTMLElement} holder @param {() => void} leave ends the mode */
  constructor(holder, leave) {
    this.word = el('b');
    this.what = el('span');
    this.hint = el('small', { class: 'keys' });
    this.field = /** @type {HTMLInputElement} */ (el('input', { type: 'text', autocomplete: 'off', spellcheck: 'false', maxlength: 60, list: 'prompt-offers' }));
    this.offered = el('datalist', { id: 'prompt-offers' });
    this.form = /** @type {HTMLFormElement} */ (el('form', { hidden: true }, this.field, this.offered, el('button', { type: 'submit', class: 'go', text: 'Set' })));
    this.stop = el('button', { type: 'button', class: 'plain', 'aria-label': 'End this mode', text: '✕', on: { click: () => (this.answer ? this.answer('') : leave()) } });
    this.root = el('div', { class: 'prompt', hidden: true, role: 'status' }, el('div', { class: 'prompt-line' }, this.word, this.what, this.form, this.stop), this.hint);
    holder.append(this.root);
    /** @type {((text: string) => void)|null} */
    this.answer = null;
    this.form.addEventListener('submit', (event) => {
      event.preventDefault();
      if (this.field.value.trim()) this.answer?.(this.field.value.trim());
    });
    this.field.addEventListener('keydown', (event) => {
      event.stopPropagation();
      if (event.key === 'Escape') this.answer?.('');
    });
  }

  /** @param {string} word @param {string} what @param {'info'|'warn'} [tone] @param {string} [keys] what keys do */
  say(word, what, tone = 'info', keys = POINT_KEYS) {
    if (this.answer) return;
    this.hint.textContent = keys;
    this.word.textContent = word;
    this.what.textContent = what;
    this.form.hidden = true;
    this.hint.hidden = false;
    this.root.classList.toggle('warn', tone === 'warn');
    this.root.hidden = false;
  }

  /**
   * @param {string} word
   * @param {string} what
   * @param {string} example
   * @param {string[]} [offered] to choose from while typing
   * @returns {Promise<string>} empty when it was given up
   */
  askText(word, what, example, offered = []) {
    this.offered.replaceChildren(...offered.map((value) => el('option', { value })));
    this.say(word, what);
    this.form.hidden = false;
    this.hint.hidden = true;
    this.field.value = '';
    this.field.placeholder = example;
    this.field.setAttribute('aria-label', what);
    this.field.focus();
    return new Promise((done) => {
      this.answer = (text) => {
        this.answer = null;
        this.form.hidden = true;
        done(text);
      };
    });
  }

  hide() {
    this.answer?.('');
    this.root.hidden = true;
  }
}
