// Whether the kernel answers: each message is answered, and one that is not for long is told of.

const PATIENCE = 6000; // ms
const LOST =
  "The kernel does not answer. While a cell still runs, wait for it; otherwise choose Run, " +
  "then Run All Cells. What you typed or answered stays here.";

/**
 * Return the model of a view, which says when the kernel does not answer, and no more once it does.
 * @param {import("./widget.js").Model} model
 * @param {(words: string) => void} tell told that it does not answer; nothing, once it does
 * @returns {import("./widget.js").Model}
 */
export function attend(model, tell) {
  let timer = 0;
  let isLost = false;
  const lose = () => {
    isLost = true;
    tell(LOST);
  };
  const answered = () => {
    clearTimeout(timer);
    timer = 0;
    if (isLost) tell("");
    isLost = false;
  };
  /** @type {Map<Function, Function>} */
  const attending = new Map();
  return {
    get: (name) => model.get(name),
    on: (name, listener) => {
      const does = (/** @type {any[]} */ ...given) => {
        if (name === "msg:custom") answered();
        listener(...given);
      };
      attending.set(listener, does);
      model.on(name, does);
    },
    off: (name, listener) => model.off(name, attending.get(listener) ?? listener),
    send: (message, callbacks, buffers) => {
      timer ||= setTimeout(lose, PATIENCE);
      try {
        model.send(message, callbacks, buffers);
      } catch {
        // What carried the messages is gone with the kernel.
        clearTimeout(timer);
        lose();
      }
    },
  };
}

/**
 * Return the place where a view says that the kernel does not answer.
 * @param {HTMLElement} root its last child is to be the place
 * @returns {(words: string) => void}
 */
export function lostPlace(root) {
  const place = document.createElement("p");
  place.className = "hk-lost";
  place.setAttribute("role", "alert");
  place.hidden = true;
  root.append(place);
  return (words) => {
    place.hidden = !words;
    place.textContent = words;
    if (words) place.scrollIntoView({ block: "nearest" });
  };
}
