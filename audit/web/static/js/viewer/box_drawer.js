import { svg } from '../core/elements.js';
import { boxAround } from '../geometry/boxes.js';
import { follow } from './dragging.js';

/** Drawing a box on the sheet with one stroke; a click that draws none is told as a place. */
export class BoxDrawer {
  /**
   * @param {any} page
   * @param {import('./layer.js').Layer} layer of the mode, for the way to the sheet's frame
   * @param {{box: (box: [number, number, number, number]) => void, click?: (at: [number, number]) => void}} told sheet frame
   */
  constructor(page, layer, told) {
    Object.assign(this, { page, layer, told });
    this.shape = svg('rect', { class: 'drawing-box' });
    this.listener = (/** @type {PointerEvent} */ event) => this.press(event);
  }

  enable() {
    this.page.map.holder.addEventListener('pointerdown', this.listener, { capture: true });
    this.page.map.holder.classList.add('drawing');
  }

  disable() {
    this.page.map.holder.removeEventListener('pointerdown', this.listener, { capture: true });
    this.page.map.holder.classList.remove('drawing');
    this.shape.remove();
  }

  /** @param {PointerEvent} event */
  press(event) {
    const { target } = event;
    if (event.button !== 0 || !event.isPrimary || (target instanceof Element && target.closest('button, input, form, .prompt, .zoomer, [data-grab]'))) return;
    const box = this.page.map.holder.getBoundingClientRect();
    const start = /** @type {[number, number]} */ ([event.clientX - box.left, event.clientY - box.top]);
    follow(event, this.page.map, (at, moved) => { if (moved) this.draw(start, at); }, (at, moved) => {
      this.shape.remove();
      if (!moved) this.told.click?.(this.layer.from(start));
      else this.told.box(boxAround([start, [at[0], start[1]], at, [start[0], at[1]]].map((p) => this.layer.from(/** @type {[number, number]} */ (p)))));
    });
  }

  /** @param {[number, number]} a @param {[number, number]} b px of the holder */
  draw(a, b) {
    const [x0, y0, x1, y1] = boxAround([a, b]);
    for (const [name, value] of Object.entries({ x: x0, y: y0, width: x1 - x0, height: y1 - y0 })) this.shape.setAttribute(name, String(value));
    if (!this.shape.parentNode) this.page.overlay.handles.append(this.shape);
  }
}
