import { api } from './api.js';
import { AuditState } from './audit_state.js';
import { el } from './core/elements.js';
import { boxAround, cornersOf } from './geometry/boxes.js';
import { Transform } from './geometry/transform.js';
import { Keys } from './keys.js';
import { MODES } from './modes/list.js';
import { Picking } from './modes/picking.js';
import { Placing } from './modes/placing.js';
import { Counting } from './modes/counting.js';
import { Laying } from './modes/laying.js';
import { Linking } from './modes/linking.js';
import { Parting } from './modes/parting.js';
import { Summing } from './modes/summing.js';
import { Viewing } from './modes/viewing.js';
import { Card } from './panels/card.js';
import { ChainStrip } from './panels/chain_strip.js';
import { Ledger } from './panels/ledger.js';
import { ModeBar } from './panels/mode_bar.js';
import { Notices } from './panels/notices.js';
import { PhonePanel } from './panels/phone.js';
import { Prompt } from './panels/prompt.js';
import { SettingsPanel } from './panels/settings.js';
import { TopBar } from './panels/top_bar.js';
import { Tray } from './panels/tray.js';
import { Welcome } from './panels/welcome.js';
import { Kept } from './viewer/kept.js';
import { Magnifier } from './viewer/magnifier.js';
import { Overlay } from './viewer/overlay.js';
import { SheetMap } from './viewer/sheet_map.js';

const NEW_KEY_MS = 2000; // between two looks whether the browser has the key of a server started again

/** Puts the parts of the page together. */
class Page {
  constructor() {
    const at = (/** @type {string} */ id) => document.getElementById(id);
    const holder = at('sheet');
    this.state = new AuditState();
    this.map = new SheetMap(holder);
    this.overlay = new Overlay(holder, this.map, this.state);
    this.loupe = new Magnifier(holder);
    this.prompt = new Prompt(holder, () => this.setMode('pick'));
    this.welcome = new Welcome(holder, this.state);
    this.notices = new Notices(at('notices'), this.state);
    this.settings = new SettingsPanel(this.state);
    this.top = new TopBar(at('top'), this.state, () => this.welcome.choose(), () => this.settings.open());
    this.bar = new ModeBar(at('modes'), (name) => this.setMode(name));
    this.ledger = new Ledger(at('side'), this.state, (box) => this.flyToFrame([box]));
    this.card = new Card(at('side'), this.state);
    this.tray = new Tray(at('strip'));
    this.strip = new ChainStrip(this.tray, this.state, (chain) => this.workOn(chain));
    this.phone = new PhonePanel(this.state);
    this.top.addPhone(this.phone.chip, this.phone.opener());
    this.welcome.addPhone(this.phone.opener());
    this.mode = '';
    this.addModes();
    new Kept(this).enable();
    this.addZoomer(holder);
    this.listen();
    this.setMode('pick');
    new Keys(this).enable();
  }

  listen() {
    this.state.on('sheet', (sheet) => {
      this.loupe.setSheet(sheet);
      document.body.classList.toggle('no-sheet', !sheet); // the sheet is fitted to the room it will have
      if (sheet) this.map.show(sheet);
      else this.map.clear();
    });
    this.state.on('opening', () => document.body.classList.add('opening'));
    this.state.on('change', () => {
      this.loupe.setSheet(this.state.sheet);
      document.body.classList.remove('opening');
      document.body.classList.toggle('no-sheet', !this.state.sheet);
      document.body.classList.add('ready');
      Object.assign(document.body.dataset, { sheet: this.state.sheet?.id ?? '', revision: this.state.sheet?.revision ?? this.state.revision });
    });
    this.map.on('loaded', () => document.body.classList.add('painted'));
    this.state.on('pick', ({ row, fly }) => { if (fly && row) this.flyTo(row); });
  }

  /** @param {HTMLElement} holder */
  addZoomer(holder) {
    const button = (/** @type {string} */ text, /** @type {string} */ label, /** @type {() => void} */ press) => el('button', { type: 'button', text, title: label, 'aria-label': label, on: { click: press } });
    holder.append(el('div', { class: 'zoomer' }, button('+', 'Closer (+)', () => this.map.zoomBy(0.5)), button('−', 'Further (−)', () => this.map.zoomBy(-0.5)), button('⤢', 'Whole sheet (F)', () => this.map.fit())));
  }

  /** @param {string} name */
  setMode(name) {
    const mode = MODES.find((m) => m.name === name);
    if (!mode || ((mode.points || mode.tool) && !this.state.sheet)) return;
    if (this.mode) this.handler.disable();
    this.mode = name;
    this.bar.show(name);
    this.handler.enable(mode);
  }

  get handler() {
    return this.tools[this.mode] ?? this.placing;
  }

  addModes() {
    this.placing = new Placing(this);
    this.picking = new Picking(this);
    /** @type {Record<string, any>} modes with a handler of their own; the others place points */
    this.tools = { pick: this.picking, count: new Counting(this), lay: new Laying(this), chain: new Summing(this), same: new Linking(this), part: new Parting(this), views: new Viewing(this) };
  }

  /** Takes a chain that the tool found over as a sum by hand. @param {import('./types.js').Chain} chain */
  workOn(chain) {
    this.setMode('chain');
    this.tools.chain.begin(chain);
  }

  /** @param {import('./types.js').Row} row */
  flyTo(row) {
    const points = [...row.line.map((p) => /** @type {import('./types.js').Box} */ ([...p, ...p])), ...row.boxes];
    this.flyToFrame(points);
  }

  /** @param {number[][]} boxes sheet frame */
  flyToFrame(boxes) {
    const toMap = new Transform(this.state.sheet.from_frame);
    const points = boxes.flatMap((box) => cornersOf(/** @type {any} */ (box)).map((c) => toMap.apply(c)));
    if (points.length) this.map.flyTo(boxAround(points));
  }

  async start() {
    history.replaceState(null, '', '/');
    await this.state.attempt(() => this.state.refresh());
    this.phone.look();
    api.listen({
      revision: ({ revision }) => { if (revision > this.state.revision) this.state.attempt(() => this.state.refresh()); },
      progress: (busy) => {
        if (this.state.overview) this.state.overview = { ...this.state.overview, busy: busy.says ? busy : null };
        this.top.setBusy(busy);
        if (!busy.says) this.state.attempt(() => this.state.refresh());
      },
      trouble: ({ problem, advice }) => this.state.tell(advice ? `${problem}: ${advice}` : problem, 'error'),
      open: () => {
        const back = !this.notices.line.hidden || this.state.overview?.busy; // it may have ended before we listened
        this.notices.setLine('');
        if (back) this.state.attempt(() => this.state.refresh());
      },
      lost: ({ for_good: forGood }) => (forGood ? this.awaitNewKey() : this.notices.setLine('The server does not answer; trying again … If it was started again, use the address that it printed.')),
    });
  }

  /** The server was started again, with another key: this page goes on once the browser holds that one. */
  awaitNewKey() {
    const goOn = () => location.reload();
    this.notices.setLine('plan-audit was started again. Open the new address that it printed in this browser, and this page goes on by itself; everything confirmed is kept.', goOn);
    const look = async () => {
      if (await api.answers()) goOn();
      else setTimeout(look, NEW_KEY_MS);
    };
    setTimeout(look, NEW_KEY_MS);
  }
}

new Page().start();
