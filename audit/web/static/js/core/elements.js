import { splitFractions } from './fractions.js';

/**
 * Makes an element. Text goes in as text, never as HTML: callouts come from strangers.
 *
 * @param {string} tag
 * @param {{class?: string, text?: string, set?: string, on?: Record<string, (event: any) => void>,
 *          [attribute: string]: any}} [options] `set` is text whose fractions are set as fractions
 * @param {...(Node | null | undefined | false)} children
 * @returns {HTMLElement}
 */
export function el(tag, options = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(options)) {
    if (value === undefined || value === null || value === false) continue;
    if (name === 'class') made.className = value;
    else if (name === 'text') made.textContent = value;
    else if (name === 'set') setText(made, value);
    else if (name === 'on') addListeners(made, value);
    else made.setAttribute(name, value === true ? '' : String(value));
  }
  made.append(...children.filter(Boolean));
  return made;
}

/**
 * @param {Element} node
 * @param {Record<string, (event: any) => void>} listeners
 */
function addListeners(node, listeners) {
  for (const [event, listener] of Object.entries(listeners)) node.addEventListener(event, listener);
}

const SVG = 'http://www.w3.org/2000/svg';

/**
 * @param {string} tag
 * @param {Record<string, any>} [attributes]
 * @param {...Node} children
 * @returns {SVGElement}
 */
export function svg(tag, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null) continue;
    if (name === 'text') made.textContent = value;
    else made.setAttribute(name, String(value));
  }
  made.append(...children);
  return made;
}

/**
 * Puts text into an element, its fractions stacked. Copied or read aloud it is "3 9/32" again.
 *
 * @param {Element} node
 * @param {string} text
 */
export function setText(node, text) {
  node.replaceChildren(...textNodes(text));
}

/**
 * @param {string} text
 * @returns {Node[]}
 */
export function textNodes(text) {
  return splitFractions(text).map((piece) => {
    if (piece.kind === 'text') return document.createTextNode(piece.text);
    return el('span', { class: 'fraction' },
      el('span', { class: 'hidden-text', text: ' ' }),
      el('span', { class: 'over', text: piece.over }),
      el('span', { class: 'hidden-text', text: '/' }),
      el('span', { class: 'under', text: piece.under }));
  });
}

/**
 * Puts new children into a node but keeps the keyboard where it was, by `data-focus`.
 *
 * @param {Element} node
 * @param {...(Node | null | undefined | false)} children
 */
export function replaceKeepingFocus(node, ...children) {
  const held = node.contains(document.activeElement) && document.activeElement;
  const name = held instanceof HTMLElement ? held.dataset.focus : undefined;
  node.replaceChildren(...children.filter(Boolean));
  if (!name) return;
  const again = node.querySelector(`[data-focus="${CSS.escape(name)}"]`);
  if (again instanceof HTMLElement) again.focus({ preventScroll: true });
}
