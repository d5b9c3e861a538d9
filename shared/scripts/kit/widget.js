// What every view in a notebook needs: ids of its own, its keys, and word from the kernel.

/**
 * What the kernel and the browser both have.
 * @typedef {object} Model
 * @property {(name: string) => any} get
 * @property {(message: object, callbacks?: undefined, buffers?: ArrayBuffer[]) => void} send
 * @property {(name: string, listener: Function) => void} on
 * @property {(name: string, listener: Function) => void} off
 */

/** @typedef {[string, (...given: any[]) => void]} Listener */

let views = 0;

/**
 * Return the beginning of all ids of one view: two views of one page share none.
 * @param {string} name
 * @returns {string}
 */
export function ownIds(name) {
  views += 1;
  return `${name}${views}-`;
}

/**
 * Keep the keys from the notebook, which would take them for its own: an x would cut the cell.
 * It asks what has the focus.
 * @param {Element} root
 * @returns {void}
 */
export function keepKeys(root) {
  root.addEventListener("focusin", ({ target }) => {
    /** @type {Element} */ (target).setAttribute("data-lm-suppress-shortcuts", "true");
  });
}

/**
 * Let new lines be typed: with each key JupyterLab puts a listener at a text that keeps them out,
 * and this one is there before it.
 * @param {HTMLTextAreaElement} area
 * @returns {void}
 */
export function keepLines(area) {
  area.addEventListener("beforeinput", (event) => event.stopImmediatePropagation());
}

/**
 * Listen to the kernel.
 * @param {Model} model
 * @param {Listener[]} listeners
 * @returns {() => void} ends it
 */
export function hear(model, listeners) {
  for (const [name, listener] of listeners) model.on(name, listener);
  return () => {
    for (const [name, listener] of listeners) model.off(name, listener);
  };
}
