import { api } from '../api.js';
import { el } from '../core/elements.js';
import { TypedSum } from './typed_sum.js';

const KINDS = '.pdf,.tif,.tiff,.png,.jpg,.jpeg,.webp,.bmp';

/** What to do while there is no sheet; dropping and choosing files at any time. */
export class Welcome {
  /** @param {HTMLElement} holder @param {import('../audit_state.js').AuditState} state */
  constructor(holder, state) {
    this.state = state;
    this.sum = new TypedSum(state);
    this.input = /** @type {HTMLInputElement} */ (el('input', { type: 'file', multiple: true, accept: KINDS, hidden: true, 'aria-label': 'Plans', on: { change: () => { this.add([...this.input.files]); this.input.value = ''; } } }));
    this.status = el('p', { class: 'soft', text: 'PDF, TIFF, PNG, JPEG, WebP or BMP. Nothing leaves this computer.' });
    this.root = el('div', { class: 'empty', hidden: true },
      el('div', { class: 'drop' },
        el('h1', { text: 'Drop a plan here' }),
        el('p', { text: 'Every printed size is compared with what is drawn. You decide what to build to.' }),
        el('button', { type: 'button', class: 'button go large', text: 'Choose files …', on: { click: () => this.choose() } }),
        this.status,
        this.sum.root,
        el('ol', { class: 'steps' }, el('li', { text: 'Add the sheets: scan, photo or PDF.' }), el('li', { text: 'Give a known size if the sheet has no scale of its own (S).' }), el('li', { text: 'Go through the list with J and K, and decide with Enter.' }), el('li', { text: 'Take the marked-up PDF to the shop.' })),
        el('p', {}, el('a', { class: 'notices-link', href: '/static/notices.txt', target: '_blank', text: 'What this page is made of' }))));
    this.over = el('div', { class: 'drop-over', hidden: true, text: 'Drop to add sheets' });
    holder.append(this.root, this.over, this.input);
    state.on('change', () => this.draw());
    this.listen();
  }

  /** @param {HTMLElement} opener */
  addPhone(opener) {
    this.status.before(opener);
  }

  draw() {
    const empty = Boolean(this.state.overview) && this.state.overview.sheets.length === 0;
    if (empty && this.listed !== this.state.revision) {
      this.listed = this.state.revision;
      this.sum.list();
    }
    this.root.hidden = !empty;
  }

  choose() {
    this.input.click();
  }

  listen() {
    let depth = 0;
    const has = (/** @type {DragEvent} */ e) => [...(e.dataTransfer?.types ?? [])].includes('Files');
    addEventListener('dragenter', (e) => { if (has(e)) { depth += 1; this.over.hidden = false; } });
    addEventListener('dragleave', () => { depth = Math.max(0, depth - 1); this.over.hidden = depth === 0; });
    addEventListener('dragover', (e) => { if (has(e)) e.preventDefault(); });
    addEventListener('drop', (e) => {
      if (!has(e)) return;
      e.preventDefault();
      depth = 0;
      this.over.hidden = true;
      this.add([...e.dataTransfer.files]);
    });
  }

  /** @param {File[]} files one after the other, in the order given */
  async add(files) {
    let first = null;
    for (const file of files) {
      this.state.tell(`Opening ${file.name} …`);
      this.status.textContent = `Opening ${file.name} …`;
      const added = await this.state.attempt(() => api.addPlan(file));
      first ??= added?.sheets[0] ?? null;
    }
    this.status.textContent = 'PDF, TIFF, PNG, JPEG, WebP or BMP. Nothing leaves this computer.';
    await this.state.attempt(() => this.state.refresh());
    if (first !== null) this.state.openSheet(first);
  }
}
