import { el, replaceKeepingFocus } from '../core/elements.js';

/** The room below the sheet: a mode's own controls, and the chain of what is picked otherwise. */
export class Tray {
  /** @param {HTMLElement} root */
  constructor(root) {
    this.root = root;
    this.owner = '';
    /** @type {() => void} */
    this.whenFree = () => {};
  }

  /** @param {string} owner name of the mode @param {...(Node|null|undefined|false)} lines */
  show(owner, ...lines) {
    this.owner = owner;
    this.root.hidden = false;
    this.root.classList.add('tool');
    this.root.setAttribute('aria-label', owner);
    document.body.classList.add('with-strip', 'tool-open');
    replaceKeepingFocus(this.root, ...lines);
  }

  release() {
    this.owner = '';
    this.root.classList.remove('tool');
    document.body.classList.remove('tool-open');
    this.root.setAttribute('aria-label', 'Chain');
    this.root.replaceChildren();
    this.whenFree();
  }
}

/** @param {...(Node|null|undefined|false)} children @returns {HTMLElement} */
export const line = (...children) => el('div', { class: 'tray-line' }, ...children);

/**
 * @param {string} text
 * @param {() => void} press
 * @param {{go?: boolean, focus?: string, label?: string, disabled?: boolean, on?: boolean}} [how]
 * @returns {HTMLElement}
 */
export function button(text, press, how = {}) {
  return el('button', { type: 'button', class: how.go ? 'button go small' : 'button small', text, 'data-focus': how.focus ?? `tray-${text}`, 'aria-label': how.label, disabled: how.disabled, 'aria-pressed': how.on === undefined ? undefined : String(how.on), on: { click: press } });
}

/**
 * A field with its word before it. Keys stay inside; Enter does `done`, Escape leaves.
 *
 * @param {string} word
 * @param {string} value
 * @param {(text: string) => void} done
 * @param {{placeholder?: string, size?: number, type?: string, live?: (text: string) => void, min?: number}} [how]
 * @returns {HTMLElement}
 */
export function field(word, value, done, how = {}) {
  const input = /** @type {HTMLInputElement} */ (el('input', { type: how.type ?? 'text', value, placeholder: how.placeholder, size: how.size ?? 12, min: how.min, maxlength: 200, autocomplete: 'off', spellcheck: 'false', 'data-focus': `field-${word}` }));
  input.addEventListener('keydown', (event) => {
    event.stopPropagation();
    if (event.key === 'Enter') { event.preventDefault(); done(input.value); }
    if (event.key === 'Escape') input.blur();
  });
  if (how.live) input.addEventListener('input', () => how.live(input.value));
  input.addEventListener('change', () => done(input.value));
  return el('label', { class: 'tray-field' }, el('span', { class: 'soft', text: word }), input);
}

/**
 * Something that is kept: press it to work on it again, or take it away.
 *
 * @param {string} name
 * @param {Node[]} says
 * @param {() => void} open
 * @param {() => void} drop
 * @returns {HTMLElement}
 */
export const keptChip = (name, says, open, drop) => el('span', { class: 'leg-box bare' },
  el('button', { type: 'button', class: 'chip', 'data-focus': `kept-${name}`, on: { click: open } }, ...says),
  el('button', { type: 'button', class: 'plain tiny', text: '✕', 'aria-label': `Take ${name} away`, 'data-focus': `unkeep-${name}`, on: { click: drop } }));

/** Whether a key was pressed on a button, which it is meant for. @param {KeyboardEvent} event */
export const isOnControl = (event) => event.target instanceof Element && Boolean(event.target.closest('button, a, summary'));

/**
 * @param {string} word
 * @param {[string, string][]} options value and what it says
 * @param {string} value
 * @param {(value: string) => void} done
 * @returns {HTMLElement}
 */
export function choice(word, options, value, done) {
  const list = /** @type {HTMLSelectElement} */ (el('select', { 'data-focus': `choice-${word}` }, ...options.map(([v, says]) => el('option', { value: v, text: says, selected: v === value }))));
  list.addEventListener('change', () => done(list.value));
  list.addEventListener('keydown', (event) => event.stopPropagation());
  return el('label', { class: 'tray-field' }, el('span', { class: 'soft', text: word }), list);
}
