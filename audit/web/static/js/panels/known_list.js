import { api } from '../api.js';
import { el, svg, textNodes } from '../core/elements.js';
import { Layer } from '../viewer/layer.js';
import { button, field, line } from './tray.js';

/** Every known size of the sheet, with what the others make of it; remove, edit; how it lies flat. */
export class KnownList {
  /** @param {any} page */
  constructor(page) {
    Object.assign(this, page);
    this.layer = new Layer(page, 'flatness', () => this.drawFlatness());
  }

  enable() {
    this.layer.enable();
    this.stop = this.state.on('change', () => this.draw());
    this.draw();
  }

  disable() {
    this.stop?.();
    this.layer.disable();
    this.tray.release();
  }

  draw() {
    const { sheet } = this.state;
    if (!sheet) return;
    const known = sheet.known_sizes.map((k) => this.one(k));
    const paper = sheet.paper_by_hand ? 'This sheet was made flat by four corners you gave.' : sheet.paper_known ? '' : 'A photo lies askew: give the four corners of a rectangle (Q) to make it flat.';
    const { flatness } = sheet;
    this.tray.show('Known sizes',
      line(el('span', { class: 'soft strip-name', text: 'Known sizes' }), ...(known.length ? known : [el('span', { class: 'soft', text: 'none yet: click the two ends of a length you know' })])),
      paper && !flatness && line(el('small', { class: 'soft', text: paper })),
      flatness && line(el('small', { class: 'soft', text: `${flatness.says} The longest arrow stands for ${flatness.longest}.` })));
  }

  /** Where followed lines lie aside of where they should, many times as long. */
  drawFlatness() {
    return (this.state.sheet?.flatness?.arrows ?? []).flatMap(({ at, tip }) => {
      const [[x1, y1], [x2, y2]] = [this.layer.at(at), this.layer.at(tip)];
      return [svg('line', { x1, y1, x2, y2, class: 'aside' }), svg('circle', { cx: x1, cy: y1, r: 1.6, class: 'aside-at' })];
    });
  }

  /** @param {import('../types.js').Known} known */
  one(known) {
    const tone = known.fits === null ? 'soft' : known.fits ? 'agrees' : 'disagrees';
    const sign = known.fits === null ? '=' : known.fits ? '○' : '◆';
    const says = known.residual || (known.across_fold ? 'across a fold: it measures the step there' : 'alone: give another one to check it by');
    return el('span', { class: 'known-row' },
      field(`${known.number + 1}`, known.length, (text) => this.change(known, text), { size: 9 }),
      el('span', { class: tone }, el('span', { class: 'sign', text: sign }), ...textNodes(` ${known.residual ? `the others make it: ${says}` : says}`)),
      button('Remove', () => this.state.act((/** @type {number} */ revision) => api.removeKnown(known.number, revision)), { focus: `remove-${known.number}`, label: `Remove the known size ${known.length}` }));
  }

  /** @param {import('../types.js').Known} known @param {string} text */
  change(known, text) {
    if (!text.trim() || text.trim() === known.length) return;
    this.state.act((/** @type {number} */ revision) => api.changeKnown(known.number, { length: text, revision }));
  }
}
