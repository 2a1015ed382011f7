import { el } from '../core/elements.js';

/** The line over the sheet that says what to do next, and asks for what it needs. */
export class Prompt {
  /** @param {HTMLElement} holder @param {() => void} leave ends the mode */
  constructor(holder, leave) {
    this.word = el('b');
    this.what = el('span');
    this.hint = el('small', { class: 'keys', text: 'Shift: no snapping · arrow keys: 0.1 px · Esc: back' });
    this.field = /** @type {HTMLInputElement} */ (el('input', { type: 'text', autocomplete: 'off', spellcheck: 'false', maxlength: 60 }));
    this.form = /** @type {HTMLFormElement} */ (el('form', { hidden: true }, this.field, el('button', { type: 'submit', class: 'go', text: 'Set' })));
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

  /** @param {string} word @param {string} what @param {'info'|'warn'} [tone] */
  say(word, what, tone = 'info') {
    if (this.answer) return;
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
   * @returns {Promise<string>} empty when it was given up
   */
  askText(word, what, example) {
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
