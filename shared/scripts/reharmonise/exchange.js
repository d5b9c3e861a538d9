// Messages to the kernel.  Each bears a number, which comes back once it is answered and once all
// that follows from it is drawn.

/** What is said to the kernel, and whether all of it was answered. */
export class Exchange {
  /**
   * @param {import("../kit/widget.js").Model} model
   * @param {HTMLElement} root says whether all is settled, and how long an answer took
   */
  constructor(model, root) {
    this.model = model;
    this.root = root;
    this.turn = Date.now();
    this.told = false;
    this.asked = this.began = 0;
  }

  /**
   * Tell the kernel something.
   * @param {object} message
   * @param {ArrayBuffer[]} [buffers]
   * @returns {void}
   */
  tell(message, buffers) {
    this.turn += 1;
    this.told = true;
    this.asked = this.began = performance.now();
    this.root.dataset.settled = "no";
    this.model.send({ ...message, turn: this.turn }, undefined, buffers);
  }

  /**
   * Note which message was answered last.
   * @param {number} turn
   * @returns {void}
   */
  heard(turn) {
    if (!this.asked || turn !== this.turn) return;
    this.root.dataset.took = String(Math.round(performance.now() - this.asked));
    this.asked = 0;
  }

  /**
   * Note how long the first chart after a message took: what was found around a place.
   * @returns {void}
   */
  drawn() {
    if (!this.told || this.root.dataset.drawn === String(this.turn)) return;
    this.root.dataset.drawn = String(this.turn);
    this.root.dataset.drew = String(Math.round(performance.now() - this.began));
  }

  /**
   * Say whether all is heard, found and drawn.
   * @param {boolean} waits whether something typed was not told yet
   * @returns {void}
   */
  settle(waits) {
    const drawn = !waits && (!this.told || this.model.get("shown") === this.turn);
    this.root.dataset.settled = drawn && !this.model.get("status").busy ? "yes" : "no";
  }
}
