/**
 * The size of a rectangle as it is typed: `11 x 8.5 in`, `A4`, `letter`. No DOM here.
 *
 * ISO 216 (A sizes, mm); ANSI/ASME Y14.1 (A to E, in); letter, legal, tabloid: common practice.
 */
const PAPERS = /** @type {Record<string, [string, string, string]>} */ ({
  a0: ['841', '1189', 'mm'], a1: ['594', '841', 'mm'], a2: ['420', '594', 'mm'], a3: ['297', '420', 'mm'], a4: ['210', '297', 'mm'], a5: ['148', '210', 'mm'],
  letter: ['8 1/2', '11', 'in'], legal: ['8 1/2', '14', 'in'], tabloid: ['11', '17', 'in'],
  'ansi a': ['8 1/2', '11', 'in'], 'ansi b': ['11', '17', 'in'], 'ansi c': ['17', '22', 'in'], 'ansi d': ['22', '34', 'in'], 'ansi e': ['34', '44', 'in'],
});

/** @returns {string[]} names of papers */
export const paperNames = () => Object.keys(PAPERS);

/**
 * @param {string} text
 * @param {boolean} wide whether the corners lie wider than high; a paper is turned to fit
 * @returns {{width: string, height: string}|null} null: it is no size of a rectangle
 */
export function parseRectangle(text, wide) {
  const paper = PAPERS[text.trim().toLowerCase().replace(/\s+/g, ' ')];
  if (paper) {
    const [short, long, unit] = paper;
    const sides = wide ? [long, short] : [short, long];
    return { width: `${sides[0]} ${unit}`, height: `${sides[1]} ${unit}` };
  }
  const sides = text.split(/\s*[x×*]\s*/i).map((side) => side.trim());
  if (sides.length !== 2 || !sides[0] || !sides[1]) return null;
  const unit = /(in|inch|inches|mm|cm|"|″)$/i.exec(sides[1]);
  const width = unit && !/(in|inch|inches|mm|cm|"|″|'|ft)$/i.test(sides[0]) ? `${sides[0]} ${unit[1]}` : sides[0];
  return { width, height: sides[1] };
}

/**
 * Corners clockwise from the top left, whatever the order they were placed in.
 *
 * @param {[number, number][]} points four, y down, as seen
 * @returns {[number, number][]}
 */
export function sortCorners(points) {
  const middle = [0, 1].map((k) => points.reduce((sum, p) => sum + p[k], 0) / points.length);
  const around = [...points].sort((a, b) => Math.atan2(a[1] - middle[1], a[0] - middle[0]) - Math.atan2(b[1] - middle[1], b[0] - middle[0]));
  const first = around.reduce((best, p, n) => (p[0] + p[1] < around[best][0] + around[best][1] ? n : best), 0);
  return [...around.slice(first), ...around.slice(0, first)];
}
