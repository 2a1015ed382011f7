/**
 * The modes, in the order of the bar.
 *
 * @typedef {{name: string, word: string, key: string, kind?: string, points?: string[], known?: boolean, rule?: boolean}} ModeKind
 */

/** @type {ModeKind[]} */
export const MODES = [
  { name: 'pick', word: 'Pick', key: 'V', rule: true },
  { name: 'known', word: 'Known size', key: 'S', kind: 'distance', known: true, points: ['one end of a length you know', 'its other end'] },
  { name: 'distance', word: 'Distance', key: 'D', kind: 'distance', points: ['the first end', 'the other end'] },
  { name: 'radius', word: 'Radius', key: 'R', kind: 'radius', points: ['the centre', 'a place on the arc'] },
  { name: 'diameter', word: 'Diameter', key: 'O', kind: 'diameter', points: ['a place on the circle', 'the place straight across'] },
  { name: 'angle', word: 'Angle', key: 'A', kind: 'angle', points: ['the corner', 'a place on one leg', 'a place on the other leg'] },
];
