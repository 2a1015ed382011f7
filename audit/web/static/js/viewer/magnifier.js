import { api } from '../api.js';
import { el, setText } from '../core/elements.js';
import { placeBeside } from '../geometry/boxes.js';
import { piecesOf, TILE } from '../geometry/windows.js';

const SIDE = 170; // px on the screen
const PIXEL = 8; // screen px for each px of the sheet
const GAP = 34;
const KEPT = 80; // tiles

const WORDS = { stroke: 'line', corner: 'corner', crossing: 'crossing', centre: 'centre', tip: 'arrow tip', nothing: 'nothing here' };

/** Shows the pixels around a place, where a point will be put, and to what it snaps. */
export class Magnifier {
  /** @param {HTMLElement} holder */
  constructor(holder) {
    this.canvas = /** @type {HTMLCanvasElement} */ (el('canvas', { width: SIDE * 2, height: SIDE * 2 }));
    this.says = el('div', { class: 'loupe-says' });
    this.root = el('div', { class: 'loupe', hidden: true, 'aria-hidden': 'true' }, this.canvas, this.says);
    holder.append(this.root);
    this.holder = holder;
    /** @type {Map<string, HTMLImageElement>} */
    this.tiles = new Map();
    /** @type {import('../types.js').Sheet|null} */
    this.sheet = null;
    this.last = null;
  }

  /** @param {import('../types.js').Sheet|null} sheet */
  setSheet(sheet) {
    if (sheet?.digest !== this.sheet?.digest || sheet?.id !== this.sheet?.id) this.tiles.clear();
    this.sheet = sheet;
  }

  /**
   * @param {{at: [number, number], screen: [number, number], snap: {point: [number, number], kind: string,
   *          sigma_px: number}|null, free: boolean, touch: boolean}} view map px, and px of the holder
   */
  show(view) {
    this.last = view;
    this.root.hidden = false;
    const area = /** @type {[number, number]} */ ([this.holder.clientWidth, this.holder.clientHeight]);
    const [left, top] = placeBeside(view.screen, SIDE, view.touch ? 64 : GAP, area, view.touch);
    this.root.style.transform = `translate(${left}px, ${top}px)`;
    this.draw();
    this.tell(view);
  }

  hide() {
    this.root.hidden = true;
    this.last = null;
  }

  tell({ snap, free }) {
    if (free) setText(this.says, 'as you put it');
    else if (!snap) setText(this.says, '…');
    else if (snap.kind === 'nothing') setText(this.says, WORDS.nothing);
    else this.says.replaceChildren(el('div', { text: WORDS[snap.kind] ?? snap.kind }), el('div', { text: `±${sigma(snap.sigma_px)} px` }));
    this.says.classList.toggle('nothing', !free && snap?.kind === 'nothing');
  }

  draw() {
    if (!this.last || !this.sheet) return;
    const { at, snap, free } = this.last;
    const zoom = this.sheet.sharp ? 1 : 0;
    const fine = 2 ** zoom;
    const factor = (PIXEL / fine) * 2;
    const side = (SIDE * 2) / factor;
    const pen = this.canvas.getContext('2d');
    pen.imageSmoothingEnabled = false;
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.fillStyle = getComputedStyle(this.root).getPropertyValue('--paper');
    pen.fillRect(0, 0, SIDE * 2, SIDE * 2);
    pen.globalCompositeOperation = 'multiply';
    for (const piece of piecesOf(at, side, zoom, [this.sheet.width, this.sheet.height])) {
      const tile = this.tile(zoom, piece.column, piece.row);
      if (tile.complete && tile.naturalWidth) pen.drawImage(tile, 0, 0, TILE, TILE, piece.x * factor, piece.y * factor, TILE * factor, TILE * factor);
    }
    pen.globalCompositeOperation = 'source-over';
    const put = free || !snap ? at : snap.point;
    this.drawCross(pen, (put[0] - at[0]) * fine * factor + SIDE, (put[1] - at[1]) * fine * factor + SIDE, Boolean(free || (snap && snap.kind !== 'nothing')));
  }

  /** @param {CanvasRenderingContext2D} pen @param {number} x @param {number} y @param {boolean} sure */
  drawCross(pen, x, y, sure) {
    pen.strokeStyle = sure ? '#0072b2' : '#8a5a00';
    pen.lineWidth = 2.4;
    pen.beginPath();
    pen.moveTo(x, 0); pen.lineTo(x, SIDE * 2);
    pen.moveTo(0, y); pen.lineTo(SIDE * 2, y);
    pen.stroke();
    pen.lineWidth = 4;
    pen.beginPath();
    pen.arc(x, y, 16, 0, 2 * Math.PI);
    pen.stroke();
  }

  /** @param {number} zoom @param {number} column @param {number} row */
  tile(zoom, column, row) {
    const address = api.tileAddress(this.sheet.id, this.sheet.digest, zoom, column, row);
    let tile = this.tiles.get(address);
    if (!tile) {
      tile = new Image();
      tile.onload = () => this.draw();
      tile.src = address;
      this.tiles.set(address, tile);
      if (this.tiles.size > KEPT) this.tiles.delete(this.tiles.keys().next().value);
    }
    return tile;
  }
}

/** @param {number} value px */
export function sigma(value) {
  return value < 0.095 ? value.toFixed(2) : value < 0.95 ? value.toFixed(1) : String(Math.round(value));
}
