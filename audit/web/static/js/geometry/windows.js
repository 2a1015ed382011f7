/**
 * Which pieces of a sheet's tiles a square window around a place needs. No DOM here.
 *
 * @typedef {{column: number, row: number, x: number, y: number}} Piece
 */

export const TILE = 256;

/**
 * @param {[number, number]} centre map px
 * @param {number} side of the window, px of the tiles' level
 * @param {number} zoom of the tiles: 1 has two px for each map px
 * @param {[number, number]} size of the map, px
 * @returns {Piece[]} tiles, and where their top left corner lies in the window, px of the level
 */
export function piecesOf(centre, side, zoom, size) {
  const fine = 2 ** zoom;
  const left = centre[0] * fine - side / 2;
  const top = centre[1] * fine - side / 2;
  const last = [Math.ceil(size[0] * fine / TILE) - 1, Math.ceil(size[1] * fine / TILE) - 1];
  const pieces = [];
  for (let row = Math.floor(top / TILE); row <= Math.floor((top + side) / TILE); row += 1) {
    for (let column = Math.floor(left / TILE); column <= Math.floor((left + side) / TILE); column += 1) {
      if (row < 0 || column < 0 || column > last[0] || row > last[1]) continue;
      pieces.push({ column, row, x: column * TILE - left, y: row * TILE - top });
    }
  }
  return pieces;
}
