import * as L from '/static/leaflet/leaflet-src.esm.js';
import { Emitter } from '../core/emitter.js';
import { keepFilled } from '../geometry/boxes.js';
import { TileLayer } from './tile_layer.js';

const CRS = L.extend({}, L.CRS.Simple, { transformation: new L.Transformation(1, 0, 1, 0) });
const MARGIN_PX = 24; // white around a sheet that is shown whole
const CLOSE = 1; // zoom at which a picked dimension is looked at, at most
const PIXELS_FROM = 1.5; // zoom from which single pixels are shown as they are
const AROUND = 2.6; // a picked dimension is shown with this much around it

/**
 * The sheet that is panned and zoomed over. Map px in and out.
 * Emits `move`, `press`, `aim`, `leave`, `loaded`.
 *
 * @typedef {[number, number]} XY
 */
export class SheetMap extends Emitter {
  /** @param {HTMLElement} holder */
  constructor(holder) {
    super();
    this.holder = holder;
    this.map = L.map(holder, {
      crs: CRS,
      zoomControl: false,
      attributionControl: false,
      boxZoom: false,
      doubleClickZoom: false,
      keyboard: false,
      zoomSnap: 0.01,
      zoomDelta: 0.5,
      wheelPxPerZoomLevel: 170,
      zoomAnimation: false,
      fadeAnimation: false,
      inertia: false,
      minZoom: -6,
      maxZoom: 4,
      center: [0, 0],
      zoom: 0,
    });
    this.tiles = null;
    this.size = /** @type {XY} */ ([1, 1]);
    this.map.createPane('paper').style.zIndex = '100';
    this.map.on('move zoom zoomend resize viewreset', () => {
      holder.classList.toggle('pixels', this.map.getZoom() >= PIXELS_FROM);
      this.emit('move');
    });
    new ResizeObserver(() => this.map.invalidateSize({ animate: false, pan: false })).observe(holder);
  }

  /** @param {import('../types.js').Sheet} sheet */
  show(sheet) {
    this.clear();
    this.size = [sheet.width, sheet.height];
    const bounds = L.latLngBounds([0, 0], [sheet.height, sheet.width]);
    this.paper = L.rectangle(bounds, { pane: 'paper', stroke: false, fill: true, fillOpacity: 1, interactive: false, className: 'paper' }).addTo(this.map);
    this.tiles = new TileLayer(sheet);
    this.tiles.on('load', () => this.emit('loaded'));
    this.tiles.addTo(this.map);
    this.fit();
  }

  clear() {
    for (const layer of [this.tiles, this.paper]) layer?.remove();
    this.tiles = this.paper = null;
  }

  /** Shows the whole sheet. */
  fit() {
    const [width, height] = this.size;
    this.map.invalidateSize({ animate: false });
    const room = this.map.getSize();
    const zoom = Math.log2(Math.min((room.x - 2 * MARGIN_PX) / width, (room.y - 2 * MARGIN_PX) / height));
    this.map.setMinZoom(Math.floor(Math.min(zoom, 0)) - 1);
    this.map.setView([height / 2, width / 2], Math.min(zoom, 2), { animate: false });
  }

  /** @param {number} by zoom levels */
  zoomBy(by) {
    this.map.setZoom(this.map.getZoom() + by, { animate: false });
  }

  /** @param {XY} way to the right and down @param {number} share of what is seen of the sheet */
  panBy([x, y], share) {
    const room = this.map.getSize();
    this.map.panBy([x * share * room.x, y * share * room.y], { animate: false });
  }

  /**
   * Brings a box into view, no closer than needed, with a glance around it.
   *
   * @param {import('../geometry/boxes.js').Box} box
   */
  flyTo([x0, y0, x1, y1]) {
    const room = this.map.getSize();
    const wide = Math.max((x1 - x0) * AROUND, 260);
    const high = Math.max((y1 - y0) * AROUND, 200);
    const wanted = Math.min(CLOSE, Math.log2(Math.min(room.x / wide, room.y / high)));
    const now = this.map.getZoom();
    const zoom = now < wanted - 0.5 || now > wanted + 0.5 ? wanted : now;
    const [x, y] = keepFilled([(x0 + x1) / 2, (y0 + y1) / 2], [room.x / 2 ** zoom, room.y / 2 ** zoom], this.size, MARGIN_PX / 2 ** zoom);
    this.map.setView([y, x], zoom, { animate: zoom === now, duration: 0.25 });
  }

  /** @param {XY} point map px @returns {XY} px of the holder */
  toScreen([x, y]) {
    const at = this.map.latLngToContainerPoint([y, x]);
    return [at.x, at.y];
  }

  /** As `toScreen`, but not rounded to whole pixels. @param {XY} point @returns {XY} */
  toScreenExactly([x, y]) {
    const scale = this.scale;
    const origin = this.map.getPixelOrigin();
    const pan = this.map._getMapPanePos();
    return [x * scale - origin.x + pan.x, y * scale - origin.y + pan.y];
  }

  /** @param {XY} point px of the holder @returns {XY} map px */
  toMap([x, y]) {
    const scale = this.scale;
    const origin = this.map.getPixelOrigin();
    const pan = this.map._getMapPanePos();
    return [(x + origin.x - pan.x) / scale, (y + origin.y - pan.y) / scale];
  }

  /** Screen px for each map px. */
  get scale() {
    return 2 ** this.map.getZoom();
  }

  /** @param {boolean} on whether one finger or the mouse pans */
  setDragging(on) {
    if (on) this.map.dragging.enable();
    else this.map.dragging.disable();
  }
}
