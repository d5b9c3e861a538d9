// Whether the kernel answers: each message is answered, and one that is not for long is told of.

const PATIENCE = 6000; // ms
const LOST =
  "The kernel does not answer. While a cell still runs, wait for it; if the workbook was stopped, " +
  "start it again; otherwise choose Run, then Run All Cells. What you typed or answered stays here.";

/** What is waited for: one answer to all that was sent. */
class Waiting {
  /** @param {(words: string) => void} tell told that nobody answers; nothing, once one does */
  constructor(tell) {
    this.tell = tell;
    this.timer = 0;
    this.isLost = false;
  }

  /**
   * Wait for an answer, unless one is waited for.
   * @returns {void}
   */
  begin() {
    this.timer ||= setTimeout(() => this.lose(), PATIENCE);
  }

  /**
   * Say that nobody answers: for too long, or what carried the messages is gone with the kernel.
   * @returns {void}
   */
  lose() {
    clearTimeout(this.timer);
    this.isLost = true;
    this.tell(LOST);
  }

  /**
   * Wait no more, and say nothing more.
   * @returns {void}
   */
  end() {
    clearTimeout(this.timer);
    this.timer = 0;
    if (this.isLost) this.tell("");
    this.isLost = false;
  }
}

/**
 * Return the model of a view, which says when the kernel does not answer, and no more once it does.
 * @param {import("./widget.js").Model} model
 * @param {(words: string) => void} tell told that it does not answer; nothing, once it does
 * @returns {import("./widget.js").Model}
 */
export function attend(model, tell) {
  const waiting = new Waiting(tell);
  /** @type {Map<Function, Function>} */
  const attending = new Map();
  return {
    get: (name) => model.get(name),
    on: (name, listener) => {
      const does = (/** @type {any[]} */ ...given) => {
        if (name === "msg:custom") waiting.end();
        listener(...given);
      };
      attending.set(listener, does);
      model.on(name, does);
    },
    off: (name, listener) => model.off(name, attending.get(listener) ?? listener),
    send: (...given) => {
      waiting.begin();
      try {
        model.send(...given);
      } catch {
        waiting.lose();
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
