import { api } from '../api.js';
import { el, svg } from '../core/elements.js';

const HELP = 'Scan this with the camera of a phone in the same network, and photograph the sheet: it comes straight into this audit.';
const PLAIN = 'Plain HTTP, not encrypted: who listens on that network can see the pictures. Nothing else can be reached there.';
const START = 'This run serves this computer only. To photograph sheets with a phone, end it with Ctrl-C and start it again as:';

/** Photographs from a phone: says whether the local network is listened on, shows the code, makes a new one. */
export class PhonePanel {
  /** @param {import('../audit_state.js').AuditState} state */
  constructor(state) {
    this.state = state;
    /** @type {import('../types.js').Phone|null} */
    this.phone = null;
    this.ends = 0;
    this.seen = -1;
    this.chip = el('button', { type: 'button', class: 'chip near', hidden: true, text: 'local network', 'aria-haspopup': 'dialog', on: { click: () => this.open() } });
    this.body = el('div', { class: 'phone-body' });
    this.left = el('span', { class: 'soft', role: 'timer' });
    this.fresh = el('button', { type: 'button', class: 'button go', text: 'New code', on: { click: () => this.ask(api.renewPhone) } });
    this.stop = el('button', { type: 'button', class: 'button', text: 'Take the code away', on: { click: () => this.ask(api.endPhone) } });
    this.root = /** @type {HTMLDialogElement} */ (el('dialog', { class: 'phone', 'aria-labelledby': 'phone-title', on: { keydown: (/** @type {Event} */ e) => e.stopPropagation() } },
      el('h2', { id: 'phone-title', text: 'Photograph with a phone' }), this.body,
      el('div', { class: 'foot' }, this.fresh, this.stop, el('button', { type: 'button', class: 'button', text: 'Close', on: { click: () => this.root.close() } }))));
    document.body.append(this.root);
    state.on('change', () => { if (this.root.open && this.seen !== state.revision) this.look(); });
  }

  /** @returns {HTMLElement} a button that opens this, for a menu or an empty page */
  opener() {
    return el('button', { type: 'button', class: 'button phone-opener', text: 'Photograph with a phone …', 'aria-haspopup': 'dialog', on: { click: () => this.open() } });
  }

  async open() {
    await this.look();
    if (!this.root.open) this.root.showModal();
    clearInterval(this.ticking);
    this.ticking = setInterval(() => this.tick(), 1000);
    this.root.addEventListener('close', () => clearInterval(this.ticking), { once: true });
  }

  /** Asks how it stands. */
  async look() {
    this.seen = this.state.revision;
    await this.ask(api.phone);
  }

  /** @param {() => Promise<import('../types.js').Phone>} call */
  async ask(call) {
    const phone = await this.state.attempt(call);
    if (!phone) return;
    this.phone = phone;
    this.ends = Date.now() + phone.seconds_left * 1000;
    this.chip.hidden = !phone.listens;
    this.chip.title = `Also listening on the local network (${phone.host}), for photographs from a phone only; plain HTTP`;
    this.draw();
  }

  draw() {
    const { phone } = this;
    this.fresh.hidden = !phone.listens;
    this.stop.hidden = !phone.url;
    if (!phone.listens) {
      this.body.replaceChildren(el('p', { text: START }), el('p', {}, el('code', { text: 'plan-audit open --lan' })));
      return;
    }
    const code = phone.url ? [el('p', { text: HELP }), drawCode(phone.code), el('p', {}, el('code', { text: phone.url }))] : [el('p', { text: 'There is no code now: no phone can bring anything.' })];
    this.body.replaceChildren(...code, el('p', {}, this.left), el('p', { class: 'soft small', text: PLAIN }));
    this.tick();
  }

  tick() {
    if (!this.phone?.listens) return;
    const seconds = Math.max(0, Math.round((this.ends - Date.now()) / 1000));
    const clock = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
    const photos = this.phone.photos ? ` · ${this.phone.photos} taken in so far` : '';
    this.left.textContent = this.phone.url ? `one picture at a time · ${clock} left${photos}` : `make a new code to go on${photos}`;
    if (this.phone.url && !seconds) this.look();
  }
}

/** @param {string[]} rows of a QR symbol; 1 is dark @returns {Element} */
export function drawCode(rows) {
  const path = rows.flatMap((row, y) => [...row].flatMap((module, x) => (module === '1' ? [`M${x} ${y}h1v1h-1z`] : []))).join('');
  const side = rows.length;
  return svg('svg', { class: 'code', viewBox: `0 0 ${side} ${side}`, role: 'img', 'aria-label': 'The code, as a symbol to scan', 'shape-rendering': 'crispEdges' },
    svg('rect', { width: side, height: side, fill: '#fff' }), svg('path', { d: path, fill: '#000' }));
}
