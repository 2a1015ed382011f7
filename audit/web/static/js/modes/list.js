/**
 * The modes, in the order of the bar.
 *
 * @typedef {{name: string, word: string, key: string, kind?: string, points?: string[], known?: boolean, corners?: boolean, fold?: boolean,
 *   tool?: boolean, rule?: boolean}} ModeKind `points` are placed one by one; a `tool` has controls of its own
 */

/** @type {ModeKind[]} */
export const MODES = [
  { name: 'pick', word: 'Pick', key: 'V', rule: true },
  { name: 'known', word: 'Known size', key: 'S', kind: 'distance', known: true, points: ['one end of a length you know', 'its other end'] },
  { name: 'corners', word: 'Four corners', key: 'Q', corners: true, points: ['the first corner of a rectangle you know', 'the next corner', 'the third corner', 'the last corner'] },
  { name: 'fold', word: 'Fold, joint', key: 'T', fold: true, rule: true, points: ['a place on a fold, crease or taped joint', 'another place on it, far from the first'] },
  { name: 'distance', word: 'Distance', key: 'D', kind: 'distance', points: ['the first end', 'the other end'] },
  { name: 'radius', word: 'Radius', key: 'R', kind: 'radius', points: ['the centre', 'a place on the arc'] },
  { name: 'diameter', word: 'Diameter', key: 'O', kind: 'diameter', points: ['a place on the circle', 'the place straight across'] },
  { name: 'angle', word: 'Angle', key: 'A', kind: 'angle', points: ['the corner', 'a place on one leg', 'a place on the other leg'] },
  { name: 'count', word: 'Count alike', key: 'C', tool: true },
  { name: 'lay', word: 'Lay a piece', key: 'L', tool: true, rule: true },
  { name: 'chain', word: 'Chain', key: 'H', tool: true },
  { name: 'same', word: 'Same as', key: 'E', tool: true },
  { name: 'part', word: 'Part', key: 'P', tool: true },
  { name: 'views', word: 'Views', key: 'W', tool: true },
];
