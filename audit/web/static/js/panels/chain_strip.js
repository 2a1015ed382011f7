import { el, textNodes } from '../core/elements.js';

/** The chain the picked dimension or finding is part of: legs, exact sum, overall. */
export class ChainStrip {
  /**
   * @param {import('./tray.js').Tray} tray
   * @param {import('../audit_state.js').AuditState} state
   * @param {(chain: import('../types.js').Chain) => void} edit takes the chain over as a sum by hand
   */
  constructor(tray, state, edit) {
    Object.assign(this, { tray, root: tray.root, state, edit });
    tray.whenFree = () => this.draw();
    state.on('change', () => this.draw());
  }

  draw() {
    if (this.tray.owner) return;
    const chain = this.find();
    this.root.hidden = !chain;
    document.body.classList.toggle('with-strip', Boolean(chain));
    if (!chain) return;
    const legs = chain.legs.flatMap((leg, n) => [n ? el('span', { class: 'plus', text: '+' }) : null, this.leg(leg)]);
    this.root.replaceChildren(...[
      el('span', { class: 'soft strip-name', text: 'Chain' }), ...legs.filter(Boolean),
      el('span', { class: 'plus', text: '=' }), el('b', {}, ...textNodes(chain.total)),
      ...(chain.overall ? [el('span', { class: 'soft', text: 'overall' }), this.leg(chain.overall)] : []),
      el('span', { class: chain.closes ? 'agrees' : 'disagrees' }, el('span', { class: 'sign', text: chain.closes ? '○' : '◆' }), ...textNodes(` ${chain.gap}`)),
      chain.rounding && el('span', { class: 'soft', set: chain.rounding }),
      el('button', { type: 'button', class: 'link soft', text: 'work on it (H)', on: { click: () => this.edit(chain) } })].filter(Boolean));
  }

  /** @returns {import('../types.js').Chain|undefined} */
  find() {
    const { row, sheet } = this.state;
    if (!row || !sheet) return undefined;
    const has = (/** @type {import('../types.js').Chain} */ c) => `f${c.finding}` === row.key || c.legs.some((l) => `d${l.dimension}` === row.key) || `d${c.overall?.dimension}` === row.key;
    return sheet.chains.find(has);
  }

  /** @param {import('../types.js').Leg} leg */
  leg(leg) {
    const picked = `d${leg.dimension}` === this.state.picked;
    return el('button', { type: 'button', class: picked ? 'leg picked' : 'leg', on: { click: () => this.state.pick(`d${leg.dimension}`) } }, ...textNodes(leg.count > 1 ? `${leg.count} × ${leg.says}` : leg.says));
  }
}
