import { svg } from '../core/elements.js';
import { boxAround } from '../geometry/boxes.js';
import { Layer } from './layer.js';

/** Pieces that were laid and things that were counted, as long as they are kept. */
export class Kept {
  /** @param {any} page */
  constructor(page) {
    this.page = page;
    this.layer = new Layer(page, 'kept-things', () => this.draw(), 'outlines');
  }

  enable() {
    this.layer.enable();
  }

  disable() {
    this.layer.disable();
  }

  draw() {
    const { sheet } = this.page.state;
    const held = this.page.mode; // the mode draws its own
    return [
      ...(held === 'lay' ? [] : sheet.pieces.filter((p) => p.outline.length).flatMap((p) => this.piece(p))),
      ...(held === 'count' ? [] : sheet.drawn_counts.flatMap((c) => this.count(c))),
    ];
  }

  /** @param {import('../types.js').Piece} piece */
  piece(piece) {
    const [x0, , x1, y1] = boxAround(piece.outline.map((p) => this.layer.at(p)));
    return [
      svg('polygon', { points: this.layer.points(piece.outline), class: 'piece kept' }),
      svg('text', { x: (x0 + x1) / 2, y: y1 - 6, class: 'piece-name', 'text-anchor': 'middle', text: `${piece.name}: ${piece.size}` }),
    ];
  }

  /** @param {import('../types.js').DrawnCount} count */
  count(count) {
    return count.places.map((place, n) => {
      const [x, y] = this.layer.at(place);
      return svg('g', { transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, class: 'counted kept' }, svg('circle', { r: 8 }), svg('text', { 'text-anchor': 'middle', y: 3.5, text: String(n + 1) }), svg('title', { text: `${count.name}: ${count.says}` }));
    });
  }
}
