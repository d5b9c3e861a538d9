// The page for an arranger: regions as the kernel draws them, what is pressed and typed in them,
// and the sounds of two ways.

import { attend } from "../kit/attend.js";
import { at, button, element, find, findAll, say } from "../kit/element.js";
import { put } from "../kit/region.js";
import { hear, keepKeys, ownIds } from "../kit/widget.js";
import { Exchange } from "./exchange.js";
import { FRAME, REGIONS } from "./frame.js";
import { Menu } from "./menu.js";
import { focusOn, keyOn, PARTS, reach } from "./parts.js";
import { Player } from "./player.js";
import { TuneText } from "./text.js";

/**
 * What a click does, by what was clicked; the first that fits counts.
 * @type {[string, (page: Page, data: DOMStringMap, each: HTMLElement) => void][]}
 */
const CLICKS = [
  ["[data-from]", (page, data) => page.player.play(data.for ?? "chosen", Number(data.from))],
  ["[data-play]", (page, data) => page.playOrStop(data.play ?? "")],
  ["[data-swap]", (page) => page.player.swap()],
  ["button[data-do=open]", (page) => page.open()],
  ["button[data-do]", (page, data) => page.tell({ do: data.do })],
  ["button[data-export]", (page, data) => page.tell({ export: data.export })],
  ["button[data-set]", (page, data) => page.tell({ set: data.set, value: data.value })],
  ["[data-press]", (page, data, each) => page.press(each)],
];

/** The page in one view. */
class Page {
  /**
   * @param {import("../kit/widget.js").Model} model
   * @param {HTMLElement} el
   */
  constructor(model, el) {
    this.model = attend(model, (words) => this.showTrouble(words));
    this.own = ownIds("hkr");
    this.root = element("div", {
      class: "hk-reharmonise",
      role: "group",
      "aria-label": model.get("title"),
      // The notebook would take arrow keys and Enter for its own.
      "data-lm-suppress-shortcuts": "true",
    });
    this.root.innerHTML = FRAME;
    this.exchange = new Exchange(this.model, this.root);
    this.text = this.makeText();
    this.player = this.makePlayer();
    this.menu = new Menu(this.root, () => this.tell({ do: "close" }));
    // Where something was done last, and whether it was refused.
    /** @type {HTMLElement | null} */
    this.asking = null;
    this.refused = false;
    this.listen();
    el.append(this.root);
  }

  /** @returns {TuneText} */
  makeText() {
    const kept = this.model.get("kept");
    const area = /** @type {HTMLTextAreaElement} */ (this.find("textarea"));
    return new TuneText(area, kept && `harmonykit ${kept} ${location.pathname}`, {
      known: () => this.model.get("text"),
      tell: (value) => this.tell({ set: "text", value }),
      settled: () => this.settle(),
    });
  }

  /** @returns {Player} */
  makePlayer() {
    return new Player(this.root, {
      keys: () => this.model.get("sounds"),
      ask: (which, have) => this.tell({ hear: which, have }),
      failed: (trouble) => this.showTrouble(trouble),
    });
  }

  // What a person does.

  /**
   * Listen to mouse and keyboard.
   * @returns {void}
   */
  listen() {
    const { root } = this;
    keepKeys(root);
    for (const kind of ["click", "keydown", "change"]) {
      const note = (/** @type {Event} */ event) => {
        this.asking = at(event, "section:has(> h3)") ?? this.asking;
      };
      root.addEventListener(kind, note, true);
    }
    root.addEventListener("click", (event) => this.click(event));
    root.addEventListener("keydown", (event) => this.key(event));
    root.addEventListener("change", (event) => this.change(event));
    root.addEventListener("input", ({ target }) => {
      /** @type {HTMLElement} */ (target).dataset.dirty = "1";
    });
  }

  /**
   * Do what a click asks for.
   * @param {Event} event
   * @returns {void}
   */
  click(event) {
    if (this.menu.isOpen && !at(event, "[data-region=menu], [data-press]")) this.menu.close();
    for (const [query, does] of CLICKS) {
      const each = at(event, query);
      if (each) {
        does(this, each.dataset, each);
        return;
      }
    }
  }

  /**
   * Do what a key asks for.
   * @param {KeyboardEvent} event
   * @returns {void}
   */
  key(event) {
    const line = /** @type {HTMLInputElement | null} */ (at(event, "input[type=text][data-set]"));
    const part = at(event, PARTS);
    if (this.menu.key(event) || this.goBack(event)) return;
    if (event.key === "Enter" && at(event, "[data-enter]")) this.open();
    else if (event.key === "Enter" && line) this.send(line);
    else if (part) keyOn(event, part, (one) => one.dispatchEvent(new MouseEvent("click", { bubbles: true })));
  }

  /**
   * Open the path; where none is typed, let it be: the text beside it needs no opening.
   * @returns {void}
   */
  open() {
    if (this.path.value.trim()) this.tell({ open: this.path.value });
    else this.path.focus();
  }

  /**
   * Undo or do again by key, but for what is typed in a line: there the browser does.
   * @param {KeyboardEvent} event
   * @returns {boolean} whether the key meant that
   */
  goBack(event) {
    const key = event.key.toLowerCase();
    const isOurs = (event.ctrlKey || event.metaKey) && !at(event, "textarea, input[type=text]");
    if (!isOurs || (key !== "z" && key !== "y")) return false;
    this.tell({ do: key === "y" || event.shiftKey ? "redo" : "undo" });
    event.preventDefault();
    event.stopPropagation();
    return true;
  }

  /**
   * Tell what was set or picked.
   * @param {Event} event
   * @returns {void}
   */
  change(event) {
    const field = /** @type {HTMLInputElement} */ (event.target);
    if (field.dataset.upload) this.upload(field.files?.[0]);
    else if (field.matches("input[data-set], select[data-set]")) this.send(field);
  }

  /**
   * Tell what a field stands at; a tune that ships is opened.
   * @param {HTMLInputElement} field
   * @returns {void}
   */
  send(field) {
    delete field.dataset.dirty;
    const value = field.type === "checkbox" ? field.checked : field.value;
    if (field.dataset.set !== "shipped") {
      this.tell({ set: field.dataset.set, value });
      return;
    }
    if (value) this.tell({ open: value });
    field.value = "";
  }

  /**
   * Hand over a file of this computer.
   * @param {File} [file]
   * @returns {Promise<void>}
   */
  async upload(file) {
    if (file) this.tell({ upload: file.name }, [await file.arrayBuffer()]);
  }

  /**
   * Press a part.
   * @param {HTMLElement} part
   * @returns {void}
   */
  press(part) {
    if (part.getAttribute("role") === "button") focusOn(part);
    if (part.dataset.press?.startsWith("place-")) this.menu.spot = part.dataset.press;
    this.point(part);
    this.tell({ press: part.dataset.press });
  }

  /**
   * Show in the chart the chord that a reason is about.
   * @param {HTMLElement} part
   * @returns {void}
   */
  point(part) {
    for (const each of findAll(this.root, ".pointed")) each.classList.remove("pointed");
    const [kind, step] = (part.dataset.press ?? "").split("-");
    if (kind !== "step") return;
    const lane = `.cells[data-way="${part.dataset.way ?? "chosen"}"]`;
    const cell = this.root.querySelector(`${lane} [data-step="${step}"]`);
    cell?.classList.add("pointed");
    cell?.scrollIntoView({ block: "nearest" });
  }

  /**
   * Play from the beginning, or stop what sounds.
   * @param {string} which
   * @returns {void}
   */
  playOrStop(which) {
    if (this.player.isOn) this.player.stop();
    else this.player.play(which, 0);
  }

  /**
   * Tell the kernel something.
   * @param {object} message
   * @param {ArrayBuffer[]} [buffers]
   * @returns {void}
   */
  tell(message, buffers) {
    this.exchange.tell(message, buffers);
  }

  // What is shown.

  /**
   * Put in a region as the kernel has it now.
   * @param {string} name
   * @returns {void}
   */
  put(name) {
    const place = this.region(name);
    const had = /** @type {HTMLElement | null} */ (place.querySelector(":focus"))?.dataset.press;
    const back = put(place, this.model.get(name), (html) => html.replaceAll("@own@", this.own));
    if (back === undefined) return;
    reach(place);
    if (name === "chart") this.exchange.drawn();
    if (name === "chart" || name === "menu") this.menu.update();
    if (back?.dataset.press) focusOn(back);
    else if (back) back.focus({ preventScroll: true });
    else if (had?.startsWith("place-")) this.menu.giveBack(had);
  }

  /**
   * Show what is said: what was found, what goes on, what was wrong, what was written.
   * @returns {void}
   */
  putStatus() {
    const now = this.model.get("status");
    say(this.find(".hk-said"), now.said ?? "");
    this.putProgress(now);
    // What could not be set is shown until the next thing is done, then what stands.
    if (this.refused && !now.trouble) this.putBack(["source", "settings", "direct"]);
    this.refused = Boolean(now.trouble);
    this.showTrouble(now.trouble ?? "");
    if (now.trouble && this.player.wanted) this.player.stop();
    this.find(".hk-written").textContent = now.written ? `Written: ${now.written}` : "";
    this.root.dataset.busy = String(Boolean(now.busy));
    for (const name of ["undo", "redo"]) {
      /** @type {HTMLButtonElement} */ (this.find(`[data-do=${name}]`)).disabled = !now[name];
    }
    this.exchange.heard(now.heard);
    this.settle();
  }

  /**
   * Show how far a search is.
   * @param {{busy: boolean, doing: string, done: number, total: number}} now
   * @returns {void}
   */
  putProgress({ busy, doing, done, total }) {
    const place = this.find(".hk-busy");
    const bar = /** @type {HTMLProgressElement} */ (find(place, "progress"));
    place.hidden = !busy;
    find(place, "span").textContent = doing ?? "";
    bar.setAttribute("aria-label", doing || "No search is running");
    if (total > 1) [bar.max, bar.value] = [total, done];
    else bar.removeAttribute("value");
  }

  /**
   * Put in regions although they are the same: what was typed in them did not stand.
   * @param {string[]} names
   * @returns {void}
   */
  putBack(names) {
    for (const name of names) {
      delete this.region(name).dataset.shown;
      this.put(name);
    }
  }

  /**
   * Say what went wrong where it was asked; nothing hides it.
   * @param {string} trouble
   * @returns {void}
   */
  showTrouble(trouble) {
    const place = this.find(".hk-trouble");
    if (trouble && this.asking && place.parentNode !== this.asking) {
      find(this.asking, "h3").after(place);
    }
    place.hidden = !trouble;
    say(place, trouble);
  }

  /**
   * Show the chart, the neck, the staff or a figure.
   * @returns {void}
   */
  putView() {
    const now = this.model.get("view");
    for (const each of findAll(this.root, ".hk-tabs button")) {
      each.setAttribute("aria-pressed", String(each.dataset.value === now));
    }
    const place = ["chart", "neck", "staff"].includes(now) ? now : "figure";
    for (const name of ["chart", "neck", "staff", "figure"]) this.region(name).hidden = place !== name;
    this.find(".hk-about-chart").hidden = place !== "chart";
  }

  /**
   * Offer what can be taken away.
   * @returns {void}
   */
  putExports() {
    /** @type {{id: string, label: string}[]} */
    const exports = this.model.get("exports");
    const made = exports.map(({ id, label }) => button(label, () => {}, { "data-export": id }));
    this.find(".hk-exports").replaceChildren(...made);
  }

  /**
   * Say whether all is settled.
   * @returns {void}
   */
  settle() {
    this.exchange.settle(this.text.waits);
  }

  /**
   * Show all, and listen to the kernel.
   * @returns {() => void} ends it
   */
  begin() {
    for (const name of REGIONS) this.put(name);
    this.text.show();
    this.putStatus();
    this.putView();
    this.putExports();
    this.player.update();
    this.text.bringBack();
    return hear(this.model, [
      ...REGIONS.map((name) => /** @type {[string, () => void]} */ ([`change:${name}`, () => this.put(name)])),
      ["change:text", () => this.text.show()],
      ["change:status", () => this.putStatus()],
      ["change:view", () => this.putView()],
      ["change:exports", () => this.putExports()],
      ["change:shown", () => this.settle()],
      ["change:sounds", () => this.player.update()],
      ["msg:custom", (message, buffers) => this.player.take(message, buffers)],
    ]);
  }

  // Small things.

  /** @returns {HTMLInputElement} the line for a path */
  get path() {
    return /** @type {HTMLInputElement} */ (this.find("[data-typed=path]"));
  }

  /**
   * Find an element of the page.
   * @param {string} query
   * @returns {HTMLElement}
   */
  find(query) {
    return find(this.root, query);
  }

  /**
   * Return the place of a region.
   * @param {string} name
   * @returns {HTMLElement}
   */
  region(name) {
    return this.find(`[data-region="${name}"]`);
  }
}

/**
 * Show the page.
 * @param {{model: import("../kit/widget.js").Model, el: HTMLElement}} given
 * @returns {() => void} ends it
 */
function render({ model, el }) {
  const page = new Page(model, el);
  const end = page.begin();
  return () => {
    page.text.tell();
    page.player.end();
    end();
  };
}

export default { render };
