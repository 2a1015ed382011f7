import { api } from './api.js';
import { MODES } from './modes/list.js';

const STEPS = /** @type {Record<string, number>} */ ({ j: 1, k: -1 });

const PANS = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });
const PAN_SHARE = { short: 0.15, long: 0.8 }; // of what is seen of the sheet; with Shift the long one

/** Single keys. Fields and choices keep their own. */
export class Keys {
  /** @param {any} page */
  constructor(page) {
    this.page = page;
    this.listeners = { keydown: this.down.bind(this), keyup: this.up.bind(this) };
  }

  enable() {
    for (const [event, listener] of Object.entries(this.listeners)) document.addEventListener(event, listener);
  }

  disable() {
    for (const [event, listener] of Object.entries(this.listeners)) document.removeEventListener(event, listener);
  }

  /** @param {KeyboardEvent} event */
  up(event) {
    if (event.key === 'Shift') this.page.handler.suspend(false);
  }

  /** @param {KeyboardEvent} event */
  down(event) {
    if (event.key === 'Shift') this.page.handler.suspend(true);
    if (event.ctrlKey || event.metaKey || event.altKey || isTyping(event)) return;
    if (this.use(event)) event.preventDefault();
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  use(event) {
    const { page } = this;
    const { state } = page;
    if (page.handler.key(event)) return true;
    const key = event.key.toLowerCase();
    const mode = MODES.find((m) => m.key.toLowerCase() === key);
    if (mode) page.setMode(mode.name);
    else if (key in STEPS) state.step(STEPS[key]);
    else if (key === 'u') state.act((/** @type {number} */ r) => (event.shiftKey ? api.redo(r) : api.undo(r)));
    else if (event.key === 'Enter') return this.enter(event);
    else if (event.key === 'Escape') this.escape();
    else if (key === 'b') page.card.startChoosing();
    else if (key === 'f') page.map.fit();
    else if (key === ',') page.settings.open();
    else if (key === '+' || key === '=') page.map.zoomBy(0.5);
    else if (key === '-') page.map.zoomBy(-0.5);
    else if (key === '[' || key === ']') this.turnSheet(key === ']' ? 1 : -1);
    else if (PANS[event.key] && isNowhere(event)) page.map.panBy(PANS[event.key], event.shiftKey ? PAN_SHARE.long : PAN_SHARE.short);
    else if (/^[0-9.]$/.test(event.key) && state.row?.verdict) page.card.startTyping(event.key);
    else return false;
    return true;
  }

  /** @param {KeyboardEvent} event */
  enter(event) {
    if (event.target instanceof Element && event.target.closest('button, a, summary')) return false;
    if (this.page.state.row?.verdict) this.page.card.decide();
    else this.page.state.step(1);
    return true;
  }

  escape() {
    if (this.page.mode !== 'pick') this.page.setMode('pick');
    else this.page.state.pick(null);
  }

  /** @param {number} by */
  turnSheet(by) {
    const { overview, sheetId } = this.page.state;
    const at = overview.sheets.findIndex((/** @type {any} */ s) => s.id === sheetId);
    const next = overview.sheets[at + by];
    if (next) this.page.state.openSheet(next.id);
  }
}

/** @param {KeyboardEvent} event */
function isTyping(event) {
  const { target } = event;
  return target instanceof HTMLElement && (target.isContentEditable || (target instanceof HTMLInputElement && !['radio', 'checkbox', 'button'].includes(target.type)) || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement || target.closest('dialog') !== null);
}

/** Whether a key goes to nothing that has a use of its own for arrows. @param {KeyboardEvent} event */
function isNowhere(event) {
  return event.target === document.body || (event.target instanceof Element && event.target.closest('#sheet') !== null);
}
