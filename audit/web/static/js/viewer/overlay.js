import { svg } from '../core/elements.js';
import { boxAround, cornersOf, grown, keepOff, overlaps } from '../geometry/boxes.js';
import { cutOut } from '../geometry/segments.js';
import { Transform } from '../geometry/transform.js';
import { drawShape } from './shapes.js';

const SMALLEST_PX = 6.5; // half height of a mark on the screen
const LARGEST_PX = 13;
const LINE_PX = 7;

/**
 * Everything drawn over the sheet: measured lines, marks, outlines, handles.
 *
 * @typedef {import('../types.js').Row} Row
 * @typedef {[number, number]} XY
 */
export class Overlay {
  /**
   * @param {HTMLElement} holder
   * @param {import('./sheet_map.js').SheetMap} map
   * @param {import('../audit_state.js').AuditState} state
   */
  constructor(holder, map, state) {
    this.map = map;
    this.state = state;
    this.lines = svg('g', { class: 'lines' });
    this.outlines = svg('g', { class: 'outlines' });
    this.under = svg('g', { class: 'under' });
    this.marks = svg('g', { class: 'marks' });
    this.handles = svg('g', { class: 'handles' });
    this.root = svg('svg', { class: 'overlay', 'aria-label': 'Marks' }, this.lines, this.outlines, this.under, this.marks, this.handles);
    holder.append(this.root);
    /** @type {{points: XY[], aim: XY|null, kind: string}} placing, map px */
    this.placing = { points: [], aim: null, kind: '' };
    this.waiting = 0;
    map.on('move', () => this.redraw());
    state.on('change', () => this.redraw());
  }

  /** Draws at the next frame; many calls are one. */
  redraw() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => {
      this.waiting = 0;
      this.draw();
    });
  }

  draw() {
    const sheet = this.state.sheet;
    for (const group of [this.lines, this.outlines, this.marks]) group.replaceChildren();
    if (sheet) {
      this.toMap = new Transform(sheet.from_frame);
      for (const row of sheet.rows) this.drawLine(row);
      this.drawOutlines(sheet);
      this.drawKnown(sheet);
      this.drawMarks(sheet);
    }
    this.drawPlacing();
  }

  /** @param {XY} point sheet frame @returns {XY} screen */
  place(point) {
    return this.map.toScreenExactly(this.toMap.apply(point));
  }

  /** @param {Row} row */
  drawLine(row) {
    if (row.verdict === null || row.verdict === 'not-a-dimension') return;
    const picked = row.key === this.state.picked;
    const width = Math.max(3, Math.min(LINE_PX, LINE_PX * Math.sqrt(this.map.scale) * 1.4)) * (picked ? 1.35 : 1);
    const ends = row.ends.map((end) => end.point);
    const line = row.kind === 'angle' ? [ends[1], ends[0], ends[2]] : row.line.length > 1 ? row.line : ends;
    const path = pathAround(line.map((p) => this.place(p)), row.printed && this.boxOf(row.printed.box));
    const shape = svg('path', { d: path, stroke: row.mark.colour, 'stroke-width': width, class: picked ? 'line picked' : 'line' });
    shape.addEventListener('click', () => this.state.choose(row.key, { fly: false }));
    this.lines.append(shape);
  }

  /** @param {import('../types.js').Box} box sheet frame @returns {import('../types.js').Box} screen */
  boxOf(box) {
    return boxAround(cornersOf(box).map((c) => this.place(c)));
  }

  /** @param {import('../types.js').Sheet} sheet */
  drawOutlines(sheet) {
    const row = this.state.row;
    if (row && row.verdict === null) for (const box of row.boxes) this.outline(box, row.mark.colour, 'outline');
    if (row?.printed) this.outline(row.printed.box, row.mark.colour, 'outline text');
    if (!this.state.showsUnchecked && !sheet.unchecked.some((u) => u.key === this.state.picked)) return;
    for (const group of sheet.unchecked) {
      if (!this.state.showsUnchecked && group.key !== this.state.picked) continue;
      for (const box of group.boxes) this.outline(box, 'var(--unknown)', group.key === this.state.picked ? 'outline picked' : 'outline');
    }
  }

  /** @param {import('../types.js').Box} box @param {string} colour @param {string} name */
  outline(box, colour, name) {
    const [x0, y0, x1, y1] = this.boxOf(box);
    this.outlines.append(svg('rect', { x: x0 - 3, y: y0 - 3, width: x1 - x0 + 6, height: y1 - y0 + 6, rx: 3, stroke: colour, class: name }));
  }

  /** @param {import('../types.js').Sheet} sheet */
  drawKnown(sheet) {
    for (const known of sheet.known_sizes) {
      const [a, b] = [this.place(known.a), this.place(known.b)];
      this.lines.append(svg('line', { x1: a[0], y1: a[1], x2: b[0], y2: b[1], class: 'known' }));
      for (const p of [a, b]) this.lines.append(svg('circle', { cx: p[0], cy: p[1], r: 3.5, class: 'known-end' }));
      const turn = uprightTurn(a, b);
      const at = `translate(${((a[0] + b[0]) / 2).toFixed(1)} ${((a[1] + b[1]) / 2).toFixed(1)}) rotate(${turn.toFixed(1)}) translate(0 -9)`;
      this.lines.append(svg('text', { transform: at, class: 'known-text', 'text-anchor': 'middle', text: `known: ${known.length}` }));
    }
  }

  /** @param {import('../types.js').Sheet} sheet */
  drawMarks(sheet) {
    const texts = sheet.rows.filter((r) => r.printed).map((r) => this.boxOf(r.printed.box));
    const [width, height] = [this.map.holder.clientWidth, this.map.holder.clientHeight];
    for (const mark of [...sheet.marks].reverse()) {
      if (mark.key.startsWith('t') && !this.state.showsUnchecked && mark.key !== this.state.picked) continue;
      const at = this.map.toScreenExactly(mark.centre);
      if (at[0] < -40 || at[1] < -40 || at[0] > width + 40 || at[1] > height + 40) continue;
      this.drawMark(mark, at, texts);
    }
  }

  /**
   * @param {import('../types.js').MarkPlace} mark
   * @param {XY} at
   * @param {import('../geometry/boxes.js').Box[]} texts
   */
  drawMark(mark, at, texts) {
    const picked = mark.key === this.state.picked;
    const natural = mark.radius * this.map.scale;
    const half = Math.min(Math.max(natural, SMALLEST_PX), LARGEST_PX);
    let centre = at;
    for (const text of texts) {
      const reach = half * 1.25 + (picked ? 7 : 1);
      if (overlaps([centre[0] - reach, centre[1] - reach, centre[0] + reach, centre[1] + reach], text)) centre = keepOff(centre, reach, text);
    }
    const group = svg('g', { transform: `translate(${centre[0].toFixed(1)} ${centre[1].toFixed(1)})`, class: picked ? 'mark picked' : 'mark', 'data-key': mark.key });
    if (mark.leader.length === 2) {
      const far = this.map.toScreenExactly(mark.leader[1]);
      group.append(svg('line', { x1: 0, y1: 0, x2: far[0] - centre[0], y2: far[1] - centre[1], stroke: mark.mark.colour, class: 'leader' }));
    }
    if (picked) group.append(svg('circle', { r: half * 1.25 + 5, class: 'ring' }));
    const shape = svg('g', { transform: `scale(${half.toFixed(2)})` }, drawShape(mark.mark));
    group.append(svg('circle', { r: Math.max(half + 4, 12), class: 'hit' }), shape);
    if (mark.inside && half >= 8) {
      const solid = mark.mark.shape === 'diamond';
      const size = half * (mark.label.length > 2 ? 0.82 : 1);
      group.append(svg('text', { class: 'mark-number', 'font-size': size.toFixed(1), 'text-anchor': 'middle', y: (size * 0.36).toFixed(1), fill: solid ? '#fff' : mark.mark.colour, text: mark.label }));
    }
    const title = svg('title', { text: `${mark.label} ${mark.mark.word}` });
    group.append(title);
    group.addEventListener('click', () => this.state.choose(mark.key, { fly: false }));
    this.marks.append(group);
  }

  /** @param {{points?: XY[], aim?: XY|null, kind?: string}} placing map px */
  setPlacing(placing) {
    this.placing = { ...this.placing, ...placing };
    this.redraw();
  }

  drawPlacing() {
    const { points, aim, kind } = this.placing;
    this.handles.querySelectorAll('.placing').forEach((node) => node.remove());
    const all = [...points, ...(aim && points.length ? [aim] : [])].map((p) => this.map.toScreenExactly(p));
    const group = svg('g', { class: 'placing' });
    if (all.length > 1) {
      const [a, b, c] = all;
      if (kind === 'radius' || kind === 'diameter') group.append(roundShape(a, b, kind));
      const order = kind === 'angle' && c ? [b, a, c] : all;
      group.append(svg('polyline', { points: order.map((p) => p.join(',')).join(' '), class: 'placing-line' }));
    }
    for (const p of points.map((q) => this.map.toScreenExactly(q))) {
      group.append(svg('circle', { cx: p[0], cy: p[1], r: 6, class: 'placing-point' }), svg('circle', { cx: p[0], cy: p[1], r: 1.2, class: 'placing-dot' }));
    }
    this.handles.append(group);
  }
}

/** @param {XY[]} points @param {import('../types.js').Box|null} text @returns {string} a path that leaves the text free */
function pathAround(points, text) {
  const pieces = points.slice(1).flatMap((b, n) => (text ? cutOut(points[n], b, grown(text, 1)) : [[points[n], b]]));
  return pieces.map((piece) => `M${piece.map((p) => p.map((v) => v.toFixed(1)).join(' ')).join('L')}`).join('');
}

/** @param {XY} a @param {XY} b @returns {number} degrees by which text along the line is turned, never upside down */
function uprightTurn(a, b) {
  const turn = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
  return turn > 89 ? turn - 180 : turn < -91 ? turn + 180 : turn;
}

/** @param {XY} a @param {XY} b @param {string} kind */
function roundShape(a, b, kind) {
  const far = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const centre = kind === 'radius' ? a : [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  return svg('circle', { cx: centre[0], cy: centre[1], r: kind === 'radius' ? far : far / 2, class: 'placing-round' });
}
