// What is typed: gathered before it is told, and kept by the browser until the kernel has it.

/** Waits until no key was pressed for a while. */
export class Gathered {
  /**
   * @param {number} wait in milliseconds
   * @param {() => void} does
   */
  constructor(wait, does) {
    this.wait = wait;
    this.does = does;
    /** @type {ReturnType<typeof setTimeout> | null} */
    this.timer = null;
  }

  /** @returns {boolean} whether something is still to be done */
  get waits() {
    return this.timer !== null;
  }

  /**
   * Do it a while from now, and not before.
   * @returns {void}
   */
  later() {
    this.cancel();
    this.timer = setTimeout(() => this.now(), this.wait);
  }

  /**
   * Do it at once.
   * @returns {void}
   */
  now() {
    this.cancel();
    this.does();
  }

  /**
   * Do it not at all.
   * @returns {void}
   */
  cancel() {
    if (this.timer !== null) clearTimeout(this.timer);
    this.timer = null;
  }
}

/** A text that the browser keeps under a name: a kernel may be dead without anybody knowing. */
export class Kept {
  /** @param {string} name nothing, where nothing is to be kept */
  constructor(name) {
    this.name = name;
  }

  /** @returns {string | null} what is kept; also nothing where the browser keeps nothing */
  get text() {
    try {
      return this.name ? localStorage.getItem(this.name) : null;
    } catch {
      return null;
    }
  }

  /**
   * Keep a text.
   * @param {string} text
   * @returns {void}
   */
  put(text) {
    try {
      if (this.name) localStorage.setItem(this.name, text);
    } catch {
      // The browser keeps nothing.
    }
  }

  /**
   * Keep it no longer.
   * @returns {void}
   */
  forget() {
    try {
      if (this.name) localStorage.removeItem(this.name);
    } catch {
      // The browser keeps nothing.
    }
  }
}

/**
 * Tell once what was typed in a line: Enter and leaving it both say that it is done.
 * @param {HTMLInputElement} field
 * @param {() => void} send
 * @param {() => void} [enter] what the Enter key does besides
 * @returns {void}
 */
export function tellOnce(field, send, enter) {
  let typed = false;
  const once = () => {
    if (typed) send();
    typed = false;
  };
  field.addEventListener("input", () => {
    typed = true;
  });
  field.addEventListener("change", once);
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    once();
    enter?.();
  });
  field.addEventListener("blur", () => showWaiting(field));
}

/**
 * Show a value in a line.  While someone types, the line is theirs: it waits until they leave it.
 * @param {HTMLInputElement} field
 * @param {string} value
 * @returns {void}
 */
export function showValue(field, value) {
  if (field === document.activeElement) field.dataset.waiting = value;
  else field.value = value;
}

/**
 * Show what came while someone typed.
 * @param {HTMLInputElement} field
 * @returns {void}
 */
function showWaiting(field) {
  if (field.dataset.waiting === undefined) return;
  field.value = field.dataset.waiting;
  delete field.dataset.waiting;
}
