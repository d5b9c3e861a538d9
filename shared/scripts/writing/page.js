// The page where a lesson is written: what is typed goes to the kernel, what it says is shown.

import { attend, lostPlace } from "../kit/attend.js";
import { Controls } from "../kit/controls.js";
import { element } from "../kit/element.js";
import { Progress } from "../kit/progress.js";
import { hear, keepKeys, ownIds } from "../kit/widget.js";
import { Area } from "./area.js";
import { openResult, showResults, showSides, showStatements } from "./lists.js";
import { Preview } from "./preview.js";
import { LessonText } from "./text.js";

const ROWS = ["begin", "file", "view", "build"];
const BUILDING = "Building";

/**
 * Make the places of the page.
 * @param {string} title
 */
function makePlaces(title) {
  const rows = Object.fromEntries(
    ROWS.map((name) => [name, element("div", { class: `hk-controls hk-row-${name}` })]),
  );
  return {
    root: element("div", {
      class: "harmonykit-panel hk-writing", role: "group", "aria-label": title,
    }),
    rows,
    saved: element("span", { class: "hk-saved", role: "status" }),
    trouble: element("div", { class: "hk-trouble", role: "alert" }),
    notes: element("div", { class: "hk-unheard" }),
    note: element("p", { class: "hk-note", role: "status" }),
    statements: element("section", { class: "hk-statements", "aria-label": "Statements" }),
    sides: element("div", { class: "hk-sides" }),
    results: element("section", { class: "hk-results", "aria-label": "What was built" }),
  };
}

/**
 * Put a box after a place, unless it stands there.
 * @param {Element} box
 * @param {Element} place
 * @returns {void}
 */
function standAfter(box, place) {
  if (place.nextElementSibling !== box) place.after(box);
}

/** The page in one view. */
class Page {
  /** @param {import("../kit/widget.js").Model} given */
  constructor(given) {
    this.places = makePlaces(given.get("title"));
    this.lost = element("div", {});
    const model = attend(given, lostPlace(this.lost));
    this.model = model;
    const own = ownIds("hkw");
    this.area = new Area(own);
    this.text = this.makeText();
    this.controls = this.makeControls(own);
    this.preview = new Preview(() => this.tell({ again: true }));
    this.progress = new Progress((set) => this.tell({ set, value: "" }));
    // What goes on, and what was wrong, is said beside what was pressed.
    this.used = "begin";
    this.said = { trouble: "", busy: "" };
    this.bench = this.makeBench();
    this.fill();
    this.listen();
  }

  /** @returns {LessonText} */
  makeText() {
    const { root, notes } = this.places;
    return new LessonText(this.area.area, `harmonykit-writing:${this.model.get("kept")}`, {
      root,
      notes,
      tell: (message) => this.tell(message),
      draw: () => this.area.draw(this.model.get("verdicts")),
    });
  }

  /**
   * Make the controls.
   * @param {string} own the beginning of the view's ids
   * @returns {Controls}
   */
  makeControls(own) {
    const { rows, saved } = this.places;
    return new Controls({
      own,
      tell: (message, buffers) => this.tell(message, buffers),
      before: () => this.text.send(),
      rows: Object.values(rows),
      rowOf: (each) => rows[each.row ?? ""],
      made: () => rows.file.append(saved),
    });
  }

  /**
   * Put the text beside the preview.
   * @returns {HTMLElement}
   */
  makeBench() {
    const { rows, note } = this.places;
    const { paper, keys } = this.area;
    const head = element("div", { class: "hk-over" }, rows.file);
    const over = element("div", { class: "hk-over" }, rows.view, note);
    const left = element("div", { class: "hk-left" }, head, paper, keys);
    this.right = element("div", { class: "hk-right" }, over, this.preview.frame);
    return element("div", { class: "hk-bench" }, left, this.right);
  }

  /**
   * Put all places on the page.
   * @returns {void}
   */
  fill() {
    const { root, rows, trouble, notes, statements, sides, results } = this.places;
    const below = element("div", { class: "hk-below" }, statements, sides);
    const { box } = this.progress;
    root.append(rows.begin, trouble, notes, this.lost, this.bench, box, below, rows.build, results);
  }

  // What a person does.

  /**
   * Listen to the keyboard, and follow the caret.
   * @returns {void}
   */
  listen() {
    const { area } = this.area;
    keepKeys(this.places.root);
    area.addEventListener("keydown", (event) => this.key(event));
    for (const kind of ["keyup", "click"]) area.addEventListener(kind, () => this.follow());
  }

  /**
   * Save the text, or go to the next line to mend.
   * @param {KeyboardEvent} event
   * @returns {void}
   */
  key(event) {
    const saves = (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s";
    if (saves) {
      this.text.gathered.now();
      this.tell({ set: "save", value: "" });
    } else if (event.key === "F8") {
      const next = this.area.nextWrong(this.model.get("verdicts"));
      if (next) this.go(next);
    } else return;
    event.preventDefault();
  }

  /**
   * Go to a line of the text.
   * @param {number} line
   * @returns {void}
   */
  go(line) {
    this.area.go(line);
    this.bench.scrollIntoView({ block: "nearest" });
    this.follow();
  }

  /**
   * Show in the preview what one types.
   * @returns {void}
   */
  follow() {
    this.preview.follow(this.area.before);
  }

  /**
   * Tell the kernel something, and note in which row it was asked.
   * @param {object} message
   * @param {ArrayBuffer[]} [buffers]
   * @returns {void}
   */
  tell(message, buffers) {
    const { set, file, open } = /** @type {Record<string, unknown>} */ (message);
    /** @type {import("../kit/controls.js").Asked[]} */
    const controls = this.model.get("controls");
    const asked = controls.find((each) => each.id === set);
    if (asked) this.used = asked.row ?? "";
    if (file !== undefined) this.used = "begin";
    if (open !== undefined) this.used = "build";
    this.model.send(message, undefined, buffers);
  }

  // What is shown.

  /**
   * Show what is said round the text.
   * @returns {void}
   */
  showSaid() {
    const { root, saved, trouble, note } = this.places;
    const now = this.model.get("said");
    this.placeSaid(now.trouble ?? "", now.busy ?? "");
    saved.textContent = now.saved ?? "";
    trouble.textContent = now.trouble ?? "";
    note.textContent = now.note ?? "";
    this.right?.classList.toggle("hk-marked", Boolean(now.note));
    this.progress.show(now.busy ?? "", now.progress ?? [0, 1], now.stopped ?? false);
    root.dataset.facts = now.facts ?? "";
  }

  /**
   * Say what is new beside what was pressed.
   * @param {string} trouble
   * @param {string} busy
   * @returns {void}
   */
  placeSaid(trouble, busy) {
    const { rows } = this.places;
    if (trouble !== this.said.trouble) {
      standAfter(this.places.trouble, this.used === "view" ? rows.begin : rows[this.used]);
    }
    if (busy && busy !== this.said.busy) {
      standAfter(this.progress.box, busy === BUILDING ? rows.build : this.bench);
    }
    this.said = { trouble, busy };
  }

  /**
   * List the statements, and mark them in the text.
   * @returns {void}
   */
  showVerdicts() {
    const verdicts = this.model.get("verdicts");
    const { summary = "" } = this.model.get("said");
    showStatements(this.places.statements, summary, verdicts, (line) => this.go(line));
    this.area.draw(verdicts);
  }

  /**
   * List what was built.
   * @returns {void}
   */
  showBuilt() {
    const { built = "" } = this.model.get("said");
    const open = (/** @type {string} */ name) => this.tell({ open: name });
    showResults(this.places.results, this.model.get("results"), built, open);
  }

  /**
   * Take a message of the kernel.
   * @param {Record<string, any>} news
   * @param {BlobPart[]} buffers
   * @returns {void}
   */
  take(news, buffers) {
    if ("put" in news && (!news.for || news.for === this.text.id)) this.text.put(news.put);
    if ("heard" in news && news.by === this.text.id) this.text.heard(news.heard);
    else if ("heard" in news) this.text.leave();
    if ("preview" in news) this.preview.show(news.preview);
    if (news.opened) openResult(this.places.results, { opened: news.opened, kind: news.kind }, buffers[0]);
  }

  /**
   * Show the preview light or dark, as the notebook is.
   * @returns {void}
   */
  dress() {
    const isDark = document.body.dataset.jpThemeLight === "false";
    this.preview.dress(isDark ? "dark" : "light");
  }

  /**
   * Show all, and listen to the kernel.
   * @returns {() => void} ends it
   */
  begin() {
    /** @type {[string, () => void][]} */
    const shown = [
      ["controls", () => this.controls.show(this.model.get("controls"))],
      ["said", () => this.showSaid()],
      ["said", () => this.showVerdicts()],
      ["said", () => this.showBuilt()],
      ["verdicts", () => this.showVerdicts()],
      ["sides", () => showSides(this.places.sides, this.model.get("sides"))],
      ["results", () => this.showBuilt()],
    ];
    this.dress();
    for (const [, show] of shown) show();
    return hear(this.model, [
      ...shown.map(([name, show]) => /** @type {[string, () => void]} */ ([`change:${name}`, show])),
      ["msg:custom", (news, buffers) => this.take(news, buffers)],
    ]);
  }
}

/**
 * Show the page.
 * @param {{model: import("../kit/widget.js").Model, el: HTMLElement}} given
 * @returns {() => void} ends it
 */
function render({ model, el }) {
  const page = new Page(model);
  el.append(page.places.root);
  const end = page.begin();
  const watch = new MutationObserver(() => page.dress());
  watch.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light"] });
  page.tell({ hello: page.text.id });
  return () => {
    end();
    watch.disconnect();
    page.text.end();
  };
}

export default { render };
