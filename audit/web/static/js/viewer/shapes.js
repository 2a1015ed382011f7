import { svg } from '../core/elements.js';

/**
 * The shape of a mark, around (0, 0), of half height 1.
 *
 * @param {import('../types.js').MarkStyle} mark
 * @returns {SVGElement}
 */
export function drawShape(mark) {
  const solid = mark.shape === 'diamond';
  const paint = { fill: solid ? mark.colour : 'var(--paper)', stroke: mark.colour, 'stroke-width': 2, 'vector-effect': 'non-scaling-stroke', 'stroke-linejoin': 'round' };
  switch (mark.shape) {
    case 'diamond':
    case 'lozenge':
      return svg('path', { d: 'M0-1.15 1.15 0 0 1.15-1.15 0z', ...paint });
    case 'triangle':
      return svg('path', { d: 'M0-1 1.1.86-1.1.86z', ...paint });
    case 'square':
      return svg('rect', { x: -0.92, y: -0.92, width: 1.84, height: 1.84, ...paint });
    case 'circle':
      return svg('circle', { r: 0.68, ...paint });
    case 'question':
      return svg('text', { class: 'mark-sign', fill: mark.colour, 'font-size': 2, 'text-anchor': 'middle', y: 0.72, text: '?' });
    default:
      return svg('path', { d: 'M-.8 0H.8', ...paint });
  }
}
