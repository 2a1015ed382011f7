import { el, replaceKeepingFocus, setText } from '../core/elements.js';
import { api } from '../api.js';

/** @typedef {import('../audit_state.js').AuditState} AuditState */

/** Name, sheet tabs, scale, undo, what can be taken away. */
export class TopBar {
  /** @param {HTMLElement} root @param {AuditState} state @param {() => void} addFiles @param {() => void} settings */
  constructor(root, state, addFiles, settings) {
    Object.assign(this, { root, state, addFiles });
    this.name = el('b', { class: 'name' });
    this.tabs = el('div', { class: 'tabs', role: 'tablist', 'aria-label': 'Sheets' });
    this.busy = el('div', { class: 'busy', hidden: true }, el('i', { class: 'spin' }), el('span'), el('button', { type: 'button', class: 'plain', text: 'Stop', on: { click: () => state.attempt(() => api.stopSearch()) } }));
    this.says = el('span', { class: 'soft scale' });
    this.plus = el('button', { type: 'button', class: 'tab plus', title: 'Add plans', 'aria-label': 'Add plans', text: '+', on: { click: () => this.addFiles() } });
    this.undo = button('Undo', 'U', () => state.act((r) => api.undo(r)));
    this.redo = button('Redo', 'Shift U', () => state.act((r) => api.redo(r)));
    this.marked = el('a', { class: 'button go', href: '/api/marked-up.pdf', download: true, text: 'Marked-up PDF', on: { click: () => state.tell('The marked-up PDF is being written') } });
    this.more = el('details', { class: 'more' }, el('summary', { class: 'button', text: 'More' }),
      el('div', { class: 'menu' }, el('button', { type: 'button', class: 'menu-item', text: 'Settings …', on: { click: () => { this.more.removeAttribute('open'); settings(); } } }), link('Table (CSV)', '/api/table.csv'), link('Table (Markdown)', '/api/table.md'), link('Result (JSON)', '/api/result.json')));
    this.more.lastChild.append(el('a', { href: '/static/notices.txt', target: '_blank', text: 'Licences' }));
    root.append(this.name, this.tabs, this.plus, this.busy, el('div', { class: 'space' }), this.says, this.undo, this.redo, this.more, this.marked);
    document.addEventListener('click', (event) => {
      if (!this.more.contains(/** @type {Node} */ (event.target))) this.more.removeAttribute('open');
    });
    state.on('change', () => this.draw());
    state.on('opening', (id) => this.mark(id));
  }

  /** @param {HTMLElement} chip says that the local network is listened on @param {HTMLElement} opener */
  addPhone(chip, opener) {
    this.says.before(chip);
    this.more.lastChild.prepend(opener);
  }

  draw() {
    const { overview, sheet } = this.state;
    this.name.textContent = overview?.name ?? '';
    this.name.title = overview?.name ?? '';
    replaceKeepingFocus(this.tabs, ...(overview?.sheets ?? []).map((tab, n) => this.tab(tab, n)));
    const early = overview?.busy && !sheet?.has_scale; // asking for a known size now would be too soon
    const view = this.state.row?.shows || (early ? 'no scale yet: dimensions are being looked for' : sheet?.says) || '';
    setText(this.says, view);
    toggle(this.undo, overview?.can_undo);
    toggle(this.redo, overview?.can_redo);
    const empty = !overview?.sheets.length;
    this.marked.hidden = empty;
    this.more.hidden = empty;
    const nothingDone = empty && !overview?.can_undo && !overview?.can_redo;
    this.undo.hidden = nothingDone;
    this.redo.hidden = nothingDone;
    this.setBusy(overview?.busy ?? null);
  }

  /** @param {import('../types.js').Tab} tab @param {number} n */
  tab(tab, n) {
    const on = tab.id === this.state.sheetId;
    const { sign, tone, word } = tabSign(tab);
    return el('button', { type: 'button', role: 'tab', class: 'tab', 'aria-selected': String(on), 'data-focus': `tab${tab.id}`, 'data-id': tab.id, title: `${tab.name}: ${word}`, 'aria-label': `Sheet ${n + 1}, ${tab.name}: ${word}`, on: { click: () => this.state.openSheet(tab.id) } },
      el('span', { text: String(n + 1) }), el('span', { class: `tab-state ${tone}`, text: sign }));
  }

  /** @param {number} id */
  mark(id) {
    for (const tab of this.tabs.querySelectorAll('.tab')) tab.setAttribute('aria-selected', String(Number(/** @type {HTMLElement} */ (tab).dataset.id) === id));
  }

  /** @param {import('../types.js').Busy|null} busy */
  setBusy(busy) {
    this.busy.hidden = !busy?.says;
    const left = busy?.left ? `, ${busy.left} more` : '';
    this.busy.children[1].textContent = busy?.says ? `${busy.says}${left}` : '';
    this.busy.title = busy?.name ?? '';
  }
}

/** @param {import('../types.js').Tab} tab */
export function tabSign(tab) {
  switch (tab.state) {
    case 'all-agree': return { sign: '✓', tone: 'agrees', word: 'all agree' };
    case 'disagrees': return { sign: `◆ ${tab.count}`, tone: 'disagrees', word: `${tab.count} to decide` };
    case 'open': return { sign: `? ${tab.count}`, tone: 'unknown', word: `${tab.count} not settled` };
    default: return { sign: 'not begun', tone: 'unknown', word: 'not begun' };
  }
}

/** @param {string} text @param {string} key @param {() => void} press */
function button(text, key, press) {
  return el('button', { type: 'button', class: 'button', text, title: `${text} (${key})`, on: { click: press } });
}

/** @param {string} text @param {string} href */
const link = (text, href) => el('a', { href, download: true, text });

/** @param {HTMLElement} node @param {boolean|undefined} on */
function toggle(node, on) {
  node.toggleAttribute('disabled', !on);
}
