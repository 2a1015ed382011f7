import { svg } from '../core/elements.js';
import { Transform } from '../geometry/transform.js';

/** A mode's own drawing over the sheet; drawn anew when the sheet moves. `enable`, `disable` in pairs. */
export class Layer {
  /**
   * @param {any} page
   * @param {string} name
   * @param {(layer: Layer) => (Node|null|undefined|false)[]} draw
   * @param {'handles'|'outlines'} [group] of the overlay: above the marks, or below
   */
  constructor(page, name, draw, group = 'handles') {
    this.page = page;
    this.paint = draw;
    this.group = svg('g', { class: `layer ${name}` });
    this.parent = page.overlay[group === 'handles' ? 'handles' : 'under'];
  }

  enable() {
    this.parent.append(this.group);
    this.stops = [this.page.map.on('move', () => this.draw()), this.page.state.on('change', () => this.draw())];
    this.draw();
  }

  disable() {
    for (const stop of this.stops ?? []) stop();
    this.stops = null;
    this.group.remove();
  }

  draw() {
    const { sheet } = this.page.state;
    if (!this.stops || !sheet) {
      this.group.replaceChildren();
      return;
    }
    this.toMap = new Transform(sheet.from_frame);
    const held = document.activeElement && this.group.contains(document.activeElement) ? /** @type {any} */ (document.activeElement).dataset.focus : undefined;
    this.group.replaceChildren(.../** @type {Node[]} */ (this.paint(this).filter(Boolean)));
    if (held) /** @type {any} */ (this.group.querySelector(`[data-focus="${CSS.escape(held)}"]`))?.focus({ preventScroll: true });
  }

  /** @param {[number, number]} point sheet frame @returns {[number, number]} px of the holder */
  at(point) {
    return this.page.map.toScreenExactly(this.toMap.apply(point));
  }

  /** @param {[number, number]} screen px of the holder @returns {[number, number]} sheet frame */
  from(screen) {
    return new Transform(this.page.state.sheet.from_frame).inverse().apply(this.page.map.toMap(screen));
  }

  /** @param {[number, number, number, number]} box sheet frame @param {Record<string, any>} attributes */
  rect(box, attributes) {
    const [x0, y0, x1, y1] = this.page.overlay.boxOf(box);
    return svg('rect', { x: x0, y: y0, width: Math.max(x1 - x0, 1), height: Math.max(y1 - y0, 1), ...attributes });
  }

  /** @param {[number, number][]} points sheet frame @returns {string} for a polygon */
  points(points) {
    return points.map((p) => this.at(p).map((v) => v.toFixed(1)).join(',')).join(' ');
  }
}
