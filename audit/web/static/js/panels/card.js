import { api } from '../api.js';
import { el, textNodes } from '../core/elements.js';
import { grown } from '../geometry/boxes.js';
import { toneOf } from './ledger.js';

/**
 * The picked dimension or finding: what is printed, what is drawn, who speaks for what, what to
 * build to. Nothing is chosen for the person unless print and drawing agree.
 *
 * @typedef {import('../types.js').Row} Row
 * @typedef {import('../audit_state.js').AuditState} AuditState
 */
export class Card {
  /** @param {HTMLElement} root @param {AuditState} state */
  constructor(root, state) {
    this.state = state;
    this.root = el('section', { class: 'card', 'aria-label': 'Picked', hidden: true });
    root.append(this.root);
    /** @type {{key: string, verdict: string|null, basis: string, value: string, another: string, reason: string}} */
    this.choice = { key: '', verdict: null, basis: '', value: '', another: '', reason: '' };
    this.whys = false;
    this.deciding = false;
    this.drawn = '';
    state.on('change', () => this.draw());
  }

  draw() {
    const row = this.state.row;
    this.root.hidden = !row;
    if (!row) {
      this.drawn = '';
      return;
    }
    const now = JSON.stringify([row, this.state.sheet.id]);
    if (now === this.drawn) return;
    if (this.choice.key !== row.key || this.choice.verdict !== row.verdict || (row.decision && !this.choice.basis)) this.choose(row);
    this.drawn = now;
    const scroll = this.root.scrollTop;
    const same = this.root.dataset.key === row.key;
    const held = this.root.contains(document.activeElement) && same ? /** @type {HTMLElement} */ (document.activeElement).dataset.focus : undefined;
    const typed = held ? typedIn(document.activeElement) : null;
    this.root.dataset.key = row.key;
    this.root.replaceChildren(...(row.verdict === null ? this.finding(row) : this.dimension(row)));
    this.root.scrollTop = same ? scroll : 0;
    if (!held) return;
    const again = /** @type {HTMLElement|null} */ (this.root.querySelector(`[data-focus="${CSS.escape(held)}"]`));
    again?.focus({ preventScroll: true });
    if (typed !== null && again instanceof HTMLInputElement) again.value = typed;
  }

  /** @param {Row} row */
  choose(row) {
    const decided = row.decision;
    this.choice = { key: row.key, verdict: row.verdict, basis: '', value: '', another: '', reason: decided?.reason ?? '' };
    if (row.preselected) this.choice.basis = row.preselected;
    if (decided && !decided.hold) {
      this.choice.value = decided.value ?? '';
      if (decided.basis === 'another') this.choice.another = decided.value ?? '';
    } else if (row.preselected === 'printed') this.choice.value = row.options.find((o) => o.basis === 'printed')?.value ?? '';
  }

  /** @param {Row} row @returns {Node[]} */
  finding(row) {
    const links = row.dimensions.map((n) => el('button', { type: 'button', class: 'chip', text: String(n), on: { click: () => this.state.pick(`d${n}`) } }));
    return [this.head(row), this.note(row), links.length ? el('div', { class: 'about' }, el('span', { class: 'soft', text: 'It speaks of' }), ...links.slice(0, 14)) : null, this.foot(row, [])].filter(Boolean);
  }

  /** @param {Row} row @returns {Node[]} */
  dimension(row) {
    return [this.head(row), this.crop(row), this.sizes(row), this.note(row), this.buildTo(row), this.foot(row, this.actions(row))].filter(Boolean);
  }

  /** @param {Row} row */
  head(row) {
    const name = row.verdict === null ? row.feature : [row.view, row.feature].filter(Boolean).join(', ');
    const { views } = this.state.sheet;
    const where = row.code && row.verdict === null ? `${row.code} · ${row.severity}` : `sheet ${this.state.overview.sheets.findIndex((s) => s.id === this.state.sheet.id) + 1}`;
    return el('h2', {}, el('span', {}, el('span', { class: `sign ${toneOf(row)}`, text: row.mark.sign, title: row.mark.word }), document.createTextNode(` ${row.number} · ${name}`)), el('small', { class: 'soft' }, document.createTextNode(where), row.kind && views.length > 1 && this.viewChoice(row, views)));
  }

  /** Says in which view a dimension stands, where that was taken wrong. @param {Row} row @param {import('../types.js').View[]} views */
  viewChoice(row, views) {
    const now = views.find((v) => v.name === row.view);
    const list = /** @type {HTMLSelectElement} */ (el('select', { class: 'view-choice', 'data-focus': 'view', 'aria-label': 'The view it belongs to' }, ...views.map((v) => el('option', { value: v.number, text: v.name, selected: v === now }))));
    list.addEventListener('keydown', (event) => event.stopPropagation());
    list.addEventListener('change', () => this.state.act((revision) => api.assignView(row.number, { view: Number(list.value), revision })));
    return list;
  }

  /** @param {Row} row */
  crop(row) {
    const { sheet } = this.state;
    const printed = row.printed;
    const box = printed ? printed.box : row.boxes[0];
    const level = printed ? printed.angle : 0;
    const side = Math.min(box[2] - box[0], box[3] - box[1]);
    const long = Math.max(box[2] - box[0], box[3] - box[1]);
    const area = printed && side > 0 ? grown(box, Math.max(side * 0.9, long * 0.35)) : grown(box, Math.max(long * 0.15, 4));
    const picture = el('img', { src: api.cropAddress(sheet.id, area, level, sheet.digest), alt: printed ? `Cut-out of the sheet: ${printed.text}` : 'Cut-out of the sheet', draggable: 'false', on: { error: () => frame.classList.add('no-crop') } });
    const frame = el('div', { class: 'crop' }, picture);
    return frame;
  }

  /** @param {Row} row */
  sizes(row) {
    const field = /** @type {HTMLInputElement} */ (el('input', { type: 'text', class: 'retype', 'data-focus': 'retype', 'aria-label': 'What is printed', autocomplete: 'off', spellcheck: 'false', maxlength: 60, value: row.printed?.text ?? '' }));
    field.addEventListener('keydown', (event) => {
      event.stopPropagation();
      if (event.key === 'Escape') { field.value = row.printed?.text ?? ''; field.blur(); }
    });
    const form = el('form', { class: 'retype-form', on: { submit: (/** @type {Event} */ e) => { e.preventDefault(); this.retype(row, field); } } },
      el('label', { class: 'soft', text: row.printed ? 'wrong reading? type it' : 'printed after all? type it' }), field,
      el('button', { type: 'submit', class: 'plain small', 'data-focus': 'confirm', text: row.printed && !row.printed.confirmed ? 'confirm' : 'set' }));
    const printed = el('span', { class: 'big' }, ...textNodes(row.printed?.text ?? 'none'));
    const scaled = el('span', { class: 'big' }, ...textNodes(scaledWords(row)));
    if (row.scaled) scaled.append(el('small', { class: 'soft', set: ` ± ${shopU(row.scaled)}` }));
    else if (row.why) scaled.append(el('small', { class: 'soft', set: ` ${row.why}` }));
    return el('div', { class: 'sizes' },
      el('span', { class: 'soft', text: 'Printed' }), el('div', { class: 'printed' }, printed, form), ...this.candidates(row),
      el('span', { class: 'soft', text: 'Scaled' }), scaled);
  }

  /** @param {Row} row what readers made of it, when they were not sure @returns {Node[]} */
  candidates(row) {
    const printed = row.printed;
    if (!printed || printed.confirmed) return [];
    const others = [...new Set(printed.candidates.map((c) => c.text))].filter((t) => t !== printed.text).slice(0, 3);
    if (!others.length && !printed.doubt) return [];
    return [el('span'), el('div', { class: 'candidates' }, printed.doubt && el('span', { class: 'soft', set: printed.doubt }),
      ...others.map((text) => el('button', { type: 'button', class: 'chip', set: text, 'aria-label': `It says ${text}`, on: { click: () => this.state.act((revision) => api.typeReading(row.number, { text, revision })) } })))];
  }

  /** @param {Row} row @param {HTMLInputElement} field */
  async retype(row, field) {
    const text = field.value.trim();
    this.drawn = '';
    this.choice.key = '';
    const done = await this.state.act((revision) => api.typeReading(row.number, { text: text || null, revision }));
    const now = /** @type {HTMLElement|null} */ (this.root.querySelector('.retype')); // drawn anew meanwhile
    if (done) now?.blur();
    else now?.focus();
  }

  /** @param {Row} row */
  note(row) {
    const tone = toneOf(row);
    const evidence = el('ul', { class: 'evidence', hidden: !this.whys }, ...row.evidence.map((line) => el('li', { set: line })));
    const why = el('button', { type: 'button', class: 'link why', 'data-focus': 'why', 'aria-expanded': String(this.whys), text: this.whys ? 'why? ▾' : 'why? ▸', on: { click: () => {
      this.whys = !this.whys;
      evidence.hidden = !this.whys;
      why.textContent = this.whys ? 'why? ▾' : 'why? ▸';
      why.setAttribute('aria-expanded', String(this.whys));
    } } });
    return el('div', { class: `note ${tone}` }, el('p', {}, ...textNodes(row.sentence), document.createTextNode(' '), row.evidence.length ? why : null), evidence);
  }

  /** @param {Row} row */
  buildTo(row) {
    if (row.verdict === 'not-a-dimension') return null;
    const options = row.options.map((o) => this.option(row, o.basis, o.value, WORDS[o.basis]));
    options.push(this.another(row), this.option(row, 'hold', '', 'hold, ask the publisher'));
    const reason = /** @type {HTMLInputElement} */ (el('input', { type: 'text', class: 'reason', 'data-focus': 'reason', 'aria-label': 'Reason', placeholder: 'reason …', maxlength: 200, value: this.choice.reason, on: { input: () => { this.choice.reason = reason.value; this.refreshDecide(); } } }));
    stay(reason, () => this.decide());
    return el('fieldset', { class: 'build' }, el('legend', {}, document.createTextNode('Build to '), el('kbd', { text: 'B' })), ...options, el('div', { class: 'reason-line' }, reason, this.tolerance(row)));
  }

  /** @param {Row} row @param {string} basis @param {string} value @param {string} word */
  option(row, basis, value, word) {
    const on = this.choice.basis === basis && (basis === 'hold' || this.choice.value === value);
    const radio = el('input', { type: 'radio', name: 'build', checked: on, 'data-focus': `build-${basis}-${value}`, on: { change: () => this.pickOption(basis, value) } });
    stay(radio, () => this.decide());
    return el('label', { class: 'option' }, radio, el('span', {}, document.createTextNode(`${word} `), value && el('b', { set: value })));
  }

  /** @param {Row} row */
  another(row) {
    const field = /** @type {HTMLInputElement} */ (el('input', { type: 'text', class: 'another', 'data-focus': 'another', 'aria-label': 'Another size', maxlength: 40, autocomplete: 'off', value: this.choice.another }));
    const radio = /** @type {HTMLInputElement} */ (el('input', { type: 'radio', name: 'build', checked: this.choice.basis === 'another', 'data-focus': 'build-another', on: { change: () => { this.pickOption('another', field.value); field.focus(); } } }));
    field.addEventListener('input', () => { radio.checked = true; this.choice.another = field.value; this.pickOption('another', field.value); });
    stay(field, () => this.decide());
    stay(radio, () => this.decide());
    return el('label', { class: 'option' }, radio, el('span', {}, document.createTextNode('another '), field));
  }

  /** @param {string} basis @param {string} value */
  pickOption(basis, value) {
    this.choice.basis = basis;
    this.choice.value = value;
    this.refreshDecide();
  }

  /** @returns {string} what is missing before a decision can be made; empty: nothing */
  get missing() {
    const { basis, value, reason } = this.choice;
    if (!basis) return 'Pick what to build to first.';
    if (basis === 'another' && !value.trim()) return 'Type the size to build to.';
    if (basis === 'scaled' && !reason.trim()) return 'A scaled value needs a reason.';
    return '';
  }

  /** @param {Row} row */
  actions(row) {
    const act = (/** @type {string} */ text, /** @type {() => void} */ press, /** @type {string} */ focus) => el('button', { type: 'button', class: 'button', text, 'data-focus': focus, on: { click: press } });
    const stand = (/** @type {string} */ standing) => () => this.state.act((revision) => api.setStanding(row.number, { standing, revision }));
    const list = [];
    if (row.verdict === 'not-critical' || row.verdict === 'not-a-dimension') list.push(act('Judge it again', stand('judged'), 'judge'));
    else list.push(act('Not critical', stand('not-critical'), 'critical'), row.by_hand ? act('Remove', () => this.remove(row), 'remove') : act('Not a dimension', stand('not-a-dimension'), 'nodim'));
    if (row.decision) list.push(act('Withdraw', () => this.withdraw(row), 'withdraw'));
    return list;
  }

  /** @param {Row} row */
  async withdraw(row) {
    this.choice.key = '';
    await this.state.act((revision) => api.withdraw(row.number, revision));
  }

  /** @param {Row} row */
  async remove(row) {
    const done = await this.state.act((revision) => api.removeDimension(row.number, revision));
    if (done) this.state.pick(null);
  }

  /** @param {Row} row @param {Node[]} actions */
  foot(row, actions) {
    if (row.verdict === null) return null;
    this.decideButton = row.verdict === 'not-a-dimension' ? null : el('button', { type: 'button', class: 'button go', 'data-focus': 'decide', text: row.decision ? 'Decide again ⏎' : 'Decide, next ⏎', on: { click: () => this.decide() } });
    this.refreshDecide();
    return el('div', { class: 'foot' }, this.decideButton, ...actions);
  }

  /** @param {Row} row */
  tolerance(row) {
    const field = /** @type {HTMLInputElement} */ (el('input', { type: 'text', class: 'tolerance', 'data-focus': 'tolerance', 'aria-label': 'Tolerance of this dimension', placeholder: this.state.overview.tolerance || 'usual', value: row.tolerance ?? '', maxlength: 30 }));
    stay(field, () => this.state.act((revision) => api.setTolerance(row.number, { tolerance: field.value.trim() || null, revision })));
    return el('label', { class: 'soft tol' }, document.createTextNode('tolerance '), field);
  }

  refreshDecide() {
    if (!this.decideButton) return;
    this.decideButton.classList.toggle('waits', Boolean(this.missing));
    this.decideButton.setAttribute('aria-disabled', String(Boolean(this.missing)));
    this.decideButton.title = this.missing;
  }

  /** Makes the decision and goes on to what needs one next. */
  async decide() {
    const row = this.state.row;
    if (!row || row.verdict === null || row.verdict === 'not-a-dimension') return;
    if (this.missing) {
      this.state.tell(this.missing);
      if (this.choice.basis === 'scaled') /** @type {HTMLElement|null} */ (this.root.querySelector('.reason'))?.focus();
      return;
    }
    if (this.deciding) return; // a key pressed twice decides once
    const { basis, value, reason } = this.choice;
    this.deciding = true;
    const done = await this.state.act((revision) => api.decide(row.number, { basis, value, reason, revision }));
    this.deciding = false;
    if (!done) return;
    /** @type {HTMLElement|null} */ (document.activeElement)?.blur();
    this.state.stepToOpen();
  }

  /** Puts the keyboard into the field for the printed size. @param {string} [first] its first character */
  startTyping(first) {
    const field = /** @type {HTMLInputElement|null} */ (this.root.querySelector('.retype'));
    if (!field) return;
    field.focus();
    if (first === undefined) field.select();
    else field.value = first;
  }

  /** Puts the keyboard on the choices. */
  startChoosing() {
    const radio = this.root.querySelector('input[name=build]:checked') ?? this.root.querySelector('input[name=build]');
    if (radio instanceof HTMLElement) radio.focus();
  }
}

const WORDS = /** @type {Record<string, string>} */ ({ printed: 'printed', chain: 'closes the chain', scaled: 'scaled' });

/** Keeps single keys inside a field; Enter does it, Escape leaves. @param {HTMLElement} field @param {() => void} done */
function stay(field, done) {
  field.addEventListener('keydown', (event) => {
    const radio = field.getAttribute('type') === 'radio';
    if (!radio || ['Enter', 'Escape', 'ArrowUp', 'ArrowDown', 'ArrowLeft', 'ArrowRight'].includes(event.key)) event.stopPropagation();
    if (event.key === 'Enter') { event.preventDefault(); done(); }
    if (event.key === 'Escape') field.blur();
  });
}

/** @param {Element|null} field @returns {string|null} what was typed into it and not yet sent */
function typedIn(field) {
  const own = field instanceof HTMLInputElement && field.type === 'text' && field.value !== field.defaultValue;
  return own ? field.value : null;
}

/** @param {Row} row */
function scaledWords(row) {
  return row.scaled ? row.scaled.says : '–';
}

/** @param {import('../types.js').Scaled} scaled @returns {string} U in shop words, where that is honest */
export function shopU(scaled) {
  if (scaled.uncertainty === null || scaled.unit !== 'in') return `${scaled.uncertainty_says}${scaled.unit === 'deg' ? '°' : ` ${scaled.unit}`}`;
  const steps = Math.ceil(scaled.uncertainty * 64 - 1e-9);
  if (steps < 1 || scaled.uncertainty < 1 / 128 || steps > 16) return `${scaled.uncertainty_says} in`;
  let [over, under] = [steps, 64];
  while (over % 2 === 0) { over /= 2; under /= 2; }
  return under === 1 ? `${over} in` : `${over}/${under}`;
}

