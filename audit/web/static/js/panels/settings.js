import { api } from '../api.js';
import { el } from '../core/elements.js';

const UNITS = [['', 'as the plan prints'], ['in', 'inches'], ['mm', 'millimetres'], ['cm', 'centimetres'], ['m', 'metres']];
const FINEST = ['1/64', '1/32', '1/16', '1/8', '1/4', '1/2'].map((f) => [f, `${f} in`]);
const DRAFTING = [['', 'as the sheets look'], ['CAD', 'drawn by a program'], ['plotted', 'plotted or copied'], ['hand', 'drawn by hand']];

/** What the audit is judged by: unit, tolerances, finest fraction, default thickness, its name. */
export class SettingsPanel {
  /** @param {import('../audit_state.js').AuditState} state */
  constructor(state) {
    this.state = state;
    this.form = /** @type {HTMLFormElement} */ (el('form', { method: 'dialog', class: 'settings' }));
    this.root = /** @type {HTMLDialogElement} */ (el('dialog', { class: 'settings-panel', 'aria-label': 'Settings' }, this.form));
    this.form.addEventListener('submit', (event) => { event.preventDefault(); this.save(); });
    this.root.addEventListener('keydown', (event) => event.stopPropagation());
    document.body.append(this.root);
  }

  open() {
    const { overview } = this.state;
    if (!overview) return;
    const text = (/** @type {string} */ name, /** @type {string} */ word, /** @type {string} */ value, /** @type {string} */ placeholder) => el('label', {}, el('span', { text: word }), el('input', { type: 'text', name, value, placeholder, maxlength: 120, autocomplete: 'off' }));
    const list = (/** @type {string} */ name, /** @type {string} */ word, /** @type {string} */ value, /** @type {string[][]} */ options) => el('label', {}, el('span', { text: word }), el('select', { name }, ...options.map(([v, says]) => el('option', { value: v, text: says, selected: v === value }))));
    this.form.replaceChildren(
      el('h2', { text: 'Settings' }),
      text('name', 'Name of the audit', overview.name, ''),
      list('unit', 'A bare number counts', overview.unit, UNITS),
      text('tolerance', 'Tolerance', overview.tolerance, 'usual: 1/64 in or 0.5 mm'),
      text('angle_tolerance', 'Tolerance of angles', overview.angle_tolerance, '1°'),
      list('finest', 'Finest fraction of the shop', overview.finest, FINEST),
      list('drafting', 'The plan was', overview.drafting, DRAFTING),
      text('thickness', 'Parts are this thick where nothing says so', overview.thickness, 'not given'),
      el('p', { class: 'soft small', text: 'Everything is judged anew by these, and can be undone.' }),
      el('div', { class: 'tray-line' }, el('button', { type: 'submit', class: 'button go', text: 'Judge by these' }), el('button', { type: 'button', class: 'button', text: 'Cancel', on: { click: () => this.root.close() } })));
    this.root.showModal();
  }

  async save() {
    const { overview } = this.state;
    const given = Object.fromEntries([...new FormData(this.form)].map(([side, value]) => [side, String(value).trim()]));
    const changed = Object.fromEntries(Object.entries(given).filter(([side, value]) => value !== /** @type {any} */ (overview)[side]));
    const { name, ...others } = changed;
    if (Object.keys(others).length && !(await this.state.act((revision) => api.changeSettings({ ...others, revision })))) return;
    if (name && !(await this.state.act((revision) => api.changeSettings({ name, revision })))) return;
    this.root.close();
  }
}
