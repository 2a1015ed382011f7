import { el } from '../core/elements.js';
import { MODES } from '../modes/list.js';

/** The modes, left of the sheet; each has a single key. */
export class ModeBar {
  /** @param {HTMLElement} root @param {(name: string) => void} choose */
  constructor(root, choose) {
    this.buttons = new Map();
    for (const mode of MODES) {
      const made = el('button', { type: 'button', class: 'mode', 'aria-pressed': 'false', title: `${mode.word} (${mode.key})`, on: { click: () => choose(mode.name) } },
        el('span', { text: mode.word }), el('kbd', { text: mode.key }));
      this.buttons.set(mode.name, made);
      root.append(made);
      if (mode.rule) root.append(el('hr'));
    }
    root.append(el('hr', { class: 'last' }), el('div', { class: 'mode-help' },
      help('J K', 'next, back'), help('⏎', 'decide, next'), help('B', 'build to'), help('0–9', 'retype'), help('F', 'whole sheet')));
  }

  /** @param {string} name */
  show(name) {
    for (const [mode, button] of this.buttons) button.setAttribute('aria-pressed', String(mode === name));
  }
}

/** @param {string} keys @param {string} what */
const help = (keys, what) => el('div', {}, el('kbd', { text: keys }), el('span', { text: what }));
