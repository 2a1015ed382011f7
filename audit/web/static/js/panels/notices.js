import { el, setText } from '../core/elements.js';

const STAYS_MS = { info: 3500, error: 9000 };

/** One line at the bottom that says what happened or went wrong. */
export class Notices {
  /** @param {HTMLElement} root @param {import('../audit_state.js').AuditState} state */
  constructor(root, state) {
    this.root = root;
    this.line = el('div', { class: 'line-lost', hidden: true });
    root.append(this.line);
    state.on('notice', (notice) => this.say(notice));
  }

  /** @param {{text: string, tone: 'info'|'error'}} notice */
  say({ text, tone }) {
    for (const old of this.root.querySelectorAll('.notice')) old.remove();
    const made = el('div', { class: `notice ${tone}` }, el('span', { set: text }), el('button', { type: 'button', class: 'plain', 'aria-label': 'Close', text: '✕', on: { click: () => made.remove() } }));
    this.root.append(made);
    setTimeout(() => made.remove(), STAYS_MS[tone]);
  }

  /** @param {string} text empty: the line is back @param {() => void} [again] offered as a button */
  setLine(text, again) {
    this.line.hidden = !text;
    setText(this.line, text);
    if (text && again) this.line.append(' ', el('button', { type: 'button', class: 'plain', text: 'Try now', on: { click: again } }));
  }
}
