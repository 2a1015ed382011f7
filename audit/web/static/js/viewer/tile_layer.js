import * as L from '/static/leaflet/leaflet-src.esm.js';
import { api } from '../api.js';
import { TILE } from '../geometry/windows.js';

const OVERLAP = 1; // px each tile has more, so that no seam shows between zoom levels
const COARSER = 0.15; // zoom levels by which tiles may be blown up before finer ones are taken

/** The tiles of one sheet. */
export const TileLayer = L.GridLayer.extend({
  /** @param {import('../types.js').Sheet} sheet */
  initialize(sheet) {
    this.sheet = sheet;
    L.setOptions(this, {
      tileSize: TILE,
      minNativeZoom: sheet.coarsest,
      maxNativeZoom: sheet.sharp ? 4 : 0,
      minZoom: -12,
      maxZoom: 6,
      bounds: L.latLngBounds([0, 0], [sheet.height, sheet.width]),
      noWrap: true,
      keepBuffer: 3,
      updateWhenZooming: false,
      className: 'tiles',
    });
  },

  /** @param {{x: number, y: number, z: number}} coords @param {(error: any, tile: HTMLElement) => void} done */
  createTile(coords, done) {
    const tile = document.createElement('img');
    tile.alt = '';
    tile.draggable = false;
    tile.onload = () => done(null, tile);
    tile.onerror = () => done(new Error('no tile'), tile);
    tile.src = api.tileAddress(this.sheet.id, this.sheet.digest, coords.z, coords.x, coords.y);
    return tile;
  },

  /** Takes the finer of the two levels around a zoom: shrunk lettering stays sharp. */
  _setView(center, zoom, noPrune, noUpdate) {
    L.GridLayer.prototype._setView.call(this, center, Math.ceil(zoom - COARSER), noPrune, noUpdate);
    this._setZoomTransforms(center, zoom);
  },

  /** @param {HTMLElement} tile */
  _initTile(tile) {
    L.GridLayer.prototype._initTile.call(this, tile);
    const side = `${this.getTileSize().x * (1 + OVERLAP / TILE)}px`;
    tile.style.width = side;
    tile.style.height = side;
  },
});
