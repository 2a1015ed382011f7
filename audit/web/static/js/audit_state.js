import { api, ApiError } from './api.js';
import { Emitter } from './core/emitter.js';

/**
 * @typedef {import('./types.js').Overview} Overview
 * @typedef {import('./types.js').Sheet} Sheet
 * @typedef {import('./types.js').Row} Row
 */

/** Verdicts in the order of the ledger, with the words of the filters. */
export const FILTERS = [
  { name: 'disagrees', word: 'disagrees', sign: '◆', tone: 'disagrees', has: (/** @type {Row} */ r) => r.verdict === 'disagrees' || (r.needs_you && r.severity !== null && r.severity !== 'note') },
  { name: 'too-close', word: 'too close', sign: '△', tone: 'close', has: (/** @type {Row} */ r) => r.verdict === 'too-close' },
  { name: 'not-printed', word: 'not printed', sign: '□', tone: 'unprinted', has: (/** @type {Row} */ r) => r.verdict === 'not-printed' },
  { name: 'not-checked', word: 'not checked', sign: '?', tone: 'unknown', has: (/** @type {Row} */ r) => r.verdict === 'not-checked' || r.verdict === 'not-scaled' },
  { name: 'agrees', word: 'agrees', sign: '○', tone: 'agrees', has: (/** @type {Row} */ r) => r.verdict === 'agrees' },
  { name: 'aside', word: 'set aside', sign: '–', tone: 'unknown', has: (/** @type {Row} */ r) => r.verdict === 'not-critical' || r.verdict === 'not-a-dimension' },
  { name: 'notes', word: 'notes', sign: '◇', tone: 'unknown', has: (/** @type {Row} */ r) => r.verdict === null && r.severity === 'note' },
];

/** What the page knows, and every change of it. Emits `change`, `sheet`, `pick`, `notice`, `line`. */
export class AuditState extends Emitter {
  constructor() {
    super();
    /** @type {Overview|null} */
    this.overview = null;
    /** @type {Sheet|null} */
    this.sheet = null;
    /** @type {number|null} */
    this.sheetId = null;
    /** @type {string|null} */
    this.picked = null;
    this.filter = 'all';
    this.search = '';
    this.showsUnchecked = false;
    /** @type {Promise<void>|null} */
    this.refreshing = null;
    this.wanted = 0;
    this.adding = 0;
    /** @type {((key: string) => boolean)|null} what a mode does with what is clicked; true: it took it */
    this.picker = null;
    /** @type {Promise<any>} the action that is going on; the next one waits for it */
    this.acting = Promise.resolve();
  }

  get revision() {
    return this.overview?.revision ?? 0;
  }

  /** @returns {Row[]} of the sheet, as filtered */
  get rows() {
    const filter = FILTERS.find((f) => f.name === this.filter);
    const words = this.search.trim().toLowerCase();
    return (this.sheet?.rows ?? []).filter((row) => (!filter || filter.has(row)) && (!words || textOf(row).includes(words)));
  }

  /** @returns {Row|null} */
  get row() {
    return this.sheet?.rows.find((row) => row.key === this.picked) ?? null;
  }

  /** Fetches everything anew; calls that come meanwhile wait for one more round. */
  async refresh() {
    this.wanted += 1;
    if (this.refreshing) return this.refreshing;
    this.refreshing = this.fetchUntilCurrent().finally(() => { this.refreshing = null; });
    return this.refreshing;
  }

  async fetchUntilCurrent() {
    let done = -1;
    while (done !== this.wanted) {
      done = this.wanted;
      const overview = await api.audit();
      const id = overview.sheets.some((s) => s.id === this.sheetId) ? this.sheetId : overview.sheets[0]?.id ?? null;
      const sheet = id === null ? null : await api.sheet(id);
      if (done === this.wanted) this.take(overview, sheet);
    }
  }

  /**
   * @param {Overview} overview
   * @param {Sheet|null} sheet
   */
  take(overview, sheet) {
    const other = sheet?.id !== this.sheet?.id;
    this.overview = overview;
    this.sheet = sheet;
    this.sheetId = sheet?.id ?? null;
    if (other || !this.row) this.picked = this.row ? this.picked : null;
    if (other) {
      this.showsUnchecked = false;
      this.filter = 'all';
      this.emit('sheet', sheet);
    }
    this.emit('change');
  }

  /** @param {number} id */
  async openSheet(id) {
    if (id === this.sheetId) return;
    this.sheetId = id;
    this.picked = null;
    this.emit('opening', id);
    await this.attempt(() => this.refresh());
  }

  /** @param {string|null} key @param {{fly?: boolean}} [how] */
  pick(key, { fly = true } = {}) {
    this.picked = key;
    this.emit('change');
    this.emit('pick', { row: this.row, fly });
  }

  /** Picks what was clicked, unless a mode takes it. @param {string} key @param {{fly?: boolean}} [how] */
  choose(key, how) {
    if (!this.picker?.(key)) this.pick(key, how);
  }

  /** @param {number} by 1: the next row, -1: the one before */
  step(by) {
    const rows = this.rows;
    if (!rows.length) return;
    const at = rows.findIndex((row) => row.key === this.picked);
    const next = at < 0 ? (by > 0 ? 0 : rows.length - 1) : Math.min(Math.max(at + by, 0), rows.length - 1);
    this.pick(rows[next].key);
  }

  /** Goes on to the next row that asks for something, else just to the next. */
  stepToOpen() {
    const rows = this.rows;
    const at = rows.findIndex((row) => row.key === this.picked);
    const next = rows.slice(at + 1).find((row) => row.needs_you) ?? rows[at + 1];
    if (next) this.pick(next.key);
  }

  /** @param {string} filter */
  setFilter(filter) {
    this.filter = filter;
    this.showsUnchecked = false;
    this.emit('change');
  }

  /** @param {string} words */
  setSearch(words) {
    this.search = words;
    this.emit('change');
  }

  toggleUnchecked() {
    this.showsUnchecked = !this.showsUnchecked;
    this.emit('change');
  }

  /**
   * Does something on the server, shows the row that comes back at once, then everything anew.
   * One after the other, however fast they come: each starts from what the one before left.
   *
   * @param {(revision: number) => Promise<any>} action
   * @returns {Promise<any>} what the server said; undefined when it went wrong, which is told
   */
  act(action) {
    const done = this.acting.then(() => this.actNow(action));
    this.acting = done.catch(() => {});
    return done;
  }

  /** @param {(revision: number) => Promise<any>} action */
  async actNow(action) {
    const done = await this.attempt(() => action(this.revision));
    if (!done) return undefined;
    if (this.overview) this.overview = { ...this.overview, revision: done.revision };
    if (done.row && this.sheet) this.putRow(done.row);
    if (done.says) this.tell(done.says);
    this.attempt(() => this.refresh());
    return done;
  }

  /** @param {Row} row */
  putRow(row) {
    const rows = this.sheet.rows.some((r) => r.key === row.key)
      ? this.sheet.rows.map((r) => (r.key === row.key ? row : r))
      : [row, ...this.sheet.rows];
    this.sheet = { ...this.sheet, rows };
    this.emit('change');
  }

  /**
   * @template T
   * @param {() => Promise<T>} action
   * @returns {Promise<T|undefined>}
   */
  async attempt(action) {
    try {
      return await action();
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.tell(error.code === 'stale-revision' ? 'Someone changed the audit meanwhile; look again and repeat it.' : sentence(error.message), 'error');
      if (error.code === 'stale-revision') this.refresh().catch(() => {});
      return undefined;
    }
  }

  /** @param {string} text @param {'info'|'error'} [tone] */
  tell(text, tone = 'info') {
    this.emit('notice', { text: sentence(text), tone });
  }
}

/** @param {string} text */
function sentence(text) {
  const ended = /[.?!]$/.test(text) ? text : `${text}.`;
  return ended.charAt(0).toUpperCase() + ended.slice(1);
}

/** @param {Row} row */
function textOf(row) {
  return `${row.number} ${row.view} ${row.feature} ${row.printed?.text ?? ''} ${row.says} ${row.sentence}`.toLowerCase();
}
