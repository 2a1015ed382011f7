import { svg } from '../core/elements.js';
import { boxAround } from '../geometry/boxes.js';
import { Layer } from './layer.js';

/** Folds, pieces that were laid and things that were counted, as long as they are kept. */
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
      ...sheet.folds.flatMap((f) => this.fold(f)),
      ...(held === 'lay' ? [] : sheet.pieces.filter((p) => p.outline.length).flatMap((p) => this.piece(p))),
      ...(held === 'count' ? [] : sheet.drawn_counts.flatMap((c) => this.count(c))),
    ];
  }

  /** @param {import('../types.js').Fold} fold */
  fold(fold) {
    const [[x1, y1], [x2, y2]] = [this.layer.at(fold.a), this.layer.at(fold.b)];
    const turn = (Math.atan2(y2 - y1, x2 - x1) * 180) / Math.PI;
    const upright = turn > 89 ? turn - 180 : turn < -91 ? turn + 180 : turn;
    const at = `translate(${(x1 + 0.12 * (x2 - x1)).toFixed(1)} ${(y1 + 0.12 * (y2 - y1)).toFixed(1)}) rotate(${upright.toFixed(1)}) translate(0 -6)`;
    return [
      svg('line', { x1, y1, x2, y2, class: 'fold' }),
      svg('text', { transform: at, class: 'fold-name', 'text-anchor': 'middle', text: `fold ${fold.number + 1}${fold.step ? `: ± ${fold.step}` : ''}` }),
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
