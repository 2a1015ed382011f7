/** Tells listeners that something happened. */
export class Emitter {
  constructor() {
    /** @type {Map<string, Set<(data: any) => void>>} */
    this.listeners = new Map();
  }

  /**
   * @param {string} event
   * @param {(data: any) => void} listener
   * @returns {() => void} takes the listener away again
   */
  on(event, listener) {
    if (!this.listeners.has(event)) this.listeners.set(event, new Set());
    this.listeners.get(event).add(listener);
    return () => this.listeners.get(event).delete(listener);
  }

  /**
   * @param {string} event
   * @param {any} [data]
   */
  emit(event, data) {
    for (const listener of [...(this.listeners.get(event) ?? [])]) listener(data);
  }
}
