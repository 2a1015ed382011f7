/**
 * Follows a pointer that was pressed on something, until it is let go.
 *
 * @param {PointerEvent} event
 * @param {import('./sheet_map.js').SheetMap} map
 * @param {(at: [number, number], moved: boolean) => void} move px of the holder
 * @param {(at: [number, number], moved: boolean) => void} drop
 */
export function follow(event, map, move, drop) {
  event.preventDefault();
  event.stopPropagation();
  map.setDragging(false);
  const { holder } = map;
  const { pointerId } = event;
  const start = [event.clientX, event.clientY];
  let moved = false;
  const at = (/** @type {PointerEvent} */ e) => {
    const box = holder.getBoundingClientRect();
    if (Math.hypot(e.clientX - start[0], e.clientY - start[1]) > STILL_PX) moved = true;
    return /** @type {[number, number]} */ ([e.clientX - box.left, e.clientY - box.top]);
  };
  const go = (/** @type {PointerEvent} */ e) => { if (e.pointerId === pointerId) move(at(e), moved); };
  const end = (/** @type {PointerEvent} */ e) => {
    if (e.pointerId !== pointerId) return;
    for (const [name, listener] of Object.entries(listeners)) removeEventListener(name, /** @type {any} */ (listener));
    map.setDragging(true);
    drop(at(e), moved);
  };
  const listeners = { pointermove: go, pointerup: end, pointercancel: end };
  for (const [name, listener] of Object.entries(listeners)) addEventListener(name, /** @type {any} */ (listener));
}

const STILL_PX = 4; // a press that moves less is a click
