import { api } from '../api.js';
import { el, textNodes } from '../core/elements.js';
import { button, field, line } from './tray.js';

/** Every fold and joint of the sheet: its step, what runs across it; change it, take it away. */
export class FoldList {
  /** @param {any} page */
  constructor(page) {
    Object.assign(this, page);
  }

  enable() {
    this.stop = this.state.on('change', () => this.draw());
    this.draw();
  }

  disable() {
    this.stop?.();
    this.tray.release();
  }

  draw() {
    const { sheet } = this.state;
    if (!sheet) return;
    const folds = sheet.folds.map((f) => this.one(f));
    const says = folds.length ? '' : 'None marked. Paper is shifted, and short or long, across a fold or a taped joint: mark it, and sizes across it carry that.';
    this.tray.show('Folds', line(el('span', { class: 'soft strip-name', text: 'Folds and joints' }), ...folds, says && el('span', { class: 'soft', text: says })));
  }

  /** @param {import('../types.js').Fold} fold */
  one(fold) {
    const number = fold.number + 1;
    return el('span', { class: 'known-row' },
      field(`${number}: step`, fold.step, (text) => this.change(fold, text), { size: 9, placeholder: 'not known' }),
      el('span', { class: 'soft' }, ...textNodes(`${fold.across} across · ${fold.says}`)),
      button('Remove', () => this.state.act((/** @type {number} */ revision) => api.removeFold(this.state.sheet.id, fold.number, revision)), { focus: `unfold-${fold.number}`, label: `Remove fold ${number}` }));
  }

  /** @param {import('../types.js').Fold} fold @param {string} text */
  change(fold, text) {
    if (text.trim() === fold.step) return;
    this.state.act((/** @type {number} */ revision) => api.changeFold(this.state.sheet.id, fold.number, { step: text.trim(), revision }));
  }
}
