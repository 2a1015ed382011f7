import { FILTERS } from '../audit_state.js';
import { api } from '../api.js';
import { el, replaceKeepingFocus, textNodes } from '../core/elements.js';

/**
 * Coverage, filters and the list of everything on the sheet, worst first.
 *
 * @typedef {import('../types.js').Row} Row
 * @typedef {import('../audit_state.js').AuditState} AuditState
 */
export class Ledger {
  /** @param {HTMLElement} root @param {AuditState} state @param {(box: number[]) => void} fly */
  constructor(root, state, fly) {
    Object.assign(this, { state, fly });
    this.coverage = el('div', { class: 'coverage' });
    this.filters = el('div', { class: 'filters', role: 'group', 'aria-label': 'Show' });
    this.search = /** @type {HTMLInputElement} */ (el('input', { type: 'search', class: 'search', placeholder: 'find', 'aria-label': 'Find in the list', on: { input: () => state.setSearch(this.search.value), keydown: (/** @type {KeyboardEvent} */ e) => { e.stopPropagation(); if (e.key === 'Escape' || e.key === 'Enter') this.search.blur(); } } }));
    this.body = el('tbody');
    this.table = el('table', {}, el('thead', {}, el('tr', {}, ...['No.', 'Feature', 'Printed', 'Scaled', 'Printed is'].map((text) => el('th', { scope: 'col', text })))), this.body);
    this.unchecked = el('div', { class: 'unchecked', hidden: true });
    this.list = el('div', { class: 'list', tabindex: 0, role: 'region', 'aria-label': 'Sizes and findings' }, this.table, this.unchecked);
    this.root = el('div', { class: 'ledger' }, this.coverage, this.filters, this.list);
    root.append(this.root);
    state.on('change', () => this.draw());
    state.on('pick', () => this.reveal());
  }

  draw() {
    const { sheet } = this.state;
    this.root.hidden = !sheet;
    if (!sheet) return;
    this.drawCoverage(sheet);
    this.drawFilters(sheet);
    this.table.hidden = this.state.showsUnchecked;
    this.unchecked.hidden = !this.state.showsUnchecked;
    if (this.state.showsUnchecked) this.drawUnchecked(sheet);
    else this.drawRows();
  }

  /** @param {import('../types.js').Sheet} sheet */
  drawCoverage({ coverage }) {
    const { checked, texts } = coverage;
    const left = texts - checked;
    const share = texts ? Math.round((100 * checked) / texts) : 0;
    const bar = el('span', { class: 'bar', role: 'img', 'aria-label': `${share} percent` }, el('i'));
    /** @type {HTMLElement} */ (bar.firstChild).style.width = `${share}%`;
    const said = el('span', {}, ...(texts
      ? [document.createTextNode('Checked '), el('b', { text: `${checked} of ${texts}` }), document.createTextNode(' on this sheet')]
      : [el('b', { text: 'Nothing checked yet' }), document.createTextNode(' on this sheet')]));
    const show = left > 0 && el('button', { type: 'button', class: 'link', 'data-focus': 'show', 'aria-pressed': String(this.state.showsUnchecked), text: this.state.showsUnchecked ? 'back to the list' : `show the ${left}`, on: { click: () => this.state.toggleUnchecked() } });
    replaceKeepingFocus(this.coverage, said, bar, show);
  }

  /** @param {import('../types.js').Sheet} sheet */
  drawFilters({ rows }) {
    const chips = [this.chip('all', 'All', '', '', rows.length)];
    for (const filter of FILTERS) {
      const count = rows.filter(filter.has).length;
      if (count || this.state.filter === filter.name) chips.push(this.chip(filter.name, filter.word, filter.sign, filter.tone, count));
    }
    if (!this.filters.contains(this.search)) this.filters.append(this.search);
    const focused = document.activeElement === this.search;
    replaceKeepingFocus(this.filters, ...chips, rows.length > 8 || this.search.value ? this.search : null);
    if (focused) this.search.focus();
  }

  /** @param {string} name @param {string} word @param {string} sign @param {string} tone @param {number} count */
  chip(name, word, sign, tone, count) {
    const on = this.state.filter === name && !this.state.showsUnchecked;
    return el('button', { type: 'button', class: 'chip', 'aria-pressed': String(on), 'data-focus': `chip-${name}`, on: { click: () => this.state.setFilter(name) } },
      sign && el('span', { class: `sign ${tone}`, 'aria-hidden': 'true', text: sign }), el('span', { text: `${word} ${count}` }));
  }

  drawRows() {
    const rows = this.state.rows;
    const at = this.list.scrollTop;
    if (!rows.length) {
      const why = this.state.sheet.rows.length ? 'Nothing of that kind on this sheet.' : this.state.overview?.busy ? 'Dimensions are being looked for. You can place your own meanwhile.' : 'No dimension yet: give a known size (S), then place distances (D).';
      this.body.replaceChildren(el('tr', {}, el('td', { colspan: 5, class: 'none', text: why })));
      return;
    }
    this.body.replaceChildren(...rows.map((row) => this.row(row)));
    this.list.scrollTop = at;
  }

  /** @param {Row} row */
  row(row) {
    const picked = row.key === this.state.picked;
    const line = el('tr', { class: picked ? 'picked' : '', 'data-key': row.key, 'aria-selected': String(picked), on: { click: () => this.state.choose(row.key) } },
      el('td', { class: 'number' }, el('span', { class: `sign ${toneOf(row)}`, title: row.mark.word, text: row.mark.sign }), el('span', { text: String(row.number) })),
      el('td', { class: 'feature' }, el('span', { text: [row.view, row.feature].filter(Boolean).join(', ') })));
    if (row.verdict === null) {
      line.lastChild.colSpan = 4;
      line.lastChild.replaceChildren(el('span', { class: 'title', text: row.feature }), el('span', { class: 'brief', set: row.sentence }));
      return line;
    }
    line.append(
      el('td', { class: row.printed ? (row.printed.doubt && !row.printed.confirmed ? 'doubt' : '') : 'soft' }, ...textNodes(row.printed ? row.printed.text : 'none')),
      el('td', { class: row.scaled ? '' : 'soft' }, ...textNodes(row.scaled ? row.scaled.says : '–')),
      this.says(row));
    return line;
  }

  /** @param {Row} row */
  says(row) {
    const tone = row.verdict === 'disagrees' || row.verdict === 'too-close' ? toneOf(row) : row.verdict === 'agrees' && row.needs_you ? 'disagrees' : '';
    const warned = row.verdict === 'agrees' && row.needs_you;
    const word = warned ? 'agrees, but …' : row.says || shortWhy(row);
    const cell = el('td', { class: `says ${tone} ${row.says ? '' : 'soft'}` }, el('span', { set: word }));
    if (row.decision) cell.append(el('span', { class: 'built', set: row.decision.hold ? 'hold, ask' : `build ${row.decision.value}` }));
    return cell;
  }

  /** @param {import('../types.js').Sheet} sheet */
  drawUnchecked(sheet) {
    replaceKeepingFocus(this.unchecked, ...sheet.unchecked.map((group) => this.group(sheet, group)));
  }

  /** @param {import('../types.js').Sheet} sheet @param {import('../types.js').Unchecked} group */
  group(sheet, group) {
    const own = sheet.rows.find((row) => row.key === group.key);
    const look = () => { this.state.pick(group.key, { fly: Boolean(own) }); if (!own) this.fly(group.boxes[0]); };
    const aside = !own && el('button', { type: 'button', class: 'link', 'data-focus': `aside${group.key}`, text: group.texts.length > 1 ? 'these need no check' : 'needs no check', on: { click: (/** @type {Event} */ e) => { e.stopPropagation(); this.putAside(sheet, group); } } });
    return el('div', { class: group.key === this.state.picked ? 'group picked' : 'group', on: { click: look } },
      el('button', { type: 'button', class: 'group-head', 'data-focus': `group${group.key}`, on: { click: look } },
        el('span', { class: 'sign unknown', text: '?' }), el('span', { class: 'label', text: group.label }), el('span', { class: 'head', set: group.head })),
      group.texts.length > 1 && el('div', { class: 'texts' }, ...textNodes(group.texts.join('  ·  '))),
      el('div', { class: 'why' }, el('span', { text: group.why }), aside));
  }

  /** @param {import('../types.js').Sheet} sheet @param {import('../types.js').Unchecked} group */
  async putAside(sheet, group) {
    for (const [n, box] of group.boxes.entries()) {
      const done = await this.state.act((revision) => api.putAside({ sheet: sheet.id, box, text: group.texts[n], why: 'set aside by you', revision }));
      if (!done) return;
    }
  }

  reveal() {
    this.body.querySelector('tr.picked')?.scrollIntoView({ block: 'nearest' });
  }
}

/** @param {Row} row @returns {string} class of its colour */
export function toneOf(row) {
  if (row.verdict === null) return row.severity === 'note' ? 'unknown' : 'disagrees';
  if (row.verdict === 'agrees' && row.mark.word !== 'agrees') return 'disagrees';
  return { disagrees: 'disagrees', 'too-close': 'close', 'not-printed': 'unprinted', agrees: 'agrees' }[row.verdict] ?? 'unknown';
}

/** @param {Row} row */
function shortWhy(row) {
  switch (row.verdict) {
    case 'not-printed': return '';
    case 'not-critical': return 'not critical';
    case 'not-a-dimension': return 'no dimension';
    case 'not-scaled': return 'not scaled';
    default: return row.printed?.doubt || (row.printed && !row.printed.confirmed && row.printed.confidence < 0.9) ? 'check reading' : 'not checked';
  }
}
