// The text at the left: numbered and marked line by line, each line under the one that is typed.

import { element } from "../kit/element.js";
import { keepLines } from "../kit/widget.js";

/**
 * What is said of a call: its line, its column, what became of it, and more.
 * @typedef {[number, number, string, ...any[]]} Verdict
 */

/** @typedef {[number, string]} Mark where it begins in its line, and its kind */

const TEXT = {
  spellcheck: "false",
  autocapitalize: "off",
  autocomplete: "off",
  wrap: "soft",
  "data-control": "text",
};
const KEYS = "Tab leaves the text · Ctrl-S saves it · F8 goes to the next error";
const EMPTY = "\u200b";

/**
 * Say whether a call has to be mended.
 * @param {Verdict} verdict
 * @returns {boolean}
 */
export function isWrong([, , kind]) {
  return kind === "fails" || kind === "cannot be used";
}

/**
 * Return the marks of a text by its lines.
 * @param {Verdict[]} verdicts
 * @returns {Map<number, Mark[]>}
 */
export function marksOf(verdicts) {
  const marks = new Map();
  for (const verdict of verdicts) {
    const [line, column] = verdict;
    const before = marks.get(line) ?? [];
    marks.set(line, [...before, [column - 1, isWrong(verdict) ? "wrong" : "proved"]]);
  }
  return marks;
}

/**
 * Return a line with its calls marked, each to its end; what lies within another is not marked.
 * @param {string} words
 * @param {Mark[]} marks
 * @returns {(string | HTMLElement)[]}
 */
export function marked(words, marks) {
  const parts = [];
  let end = 0;
  for (const [start, kind] of [...marks].sort((one, other) => one[0] - other[0])) {
    if (start < end || start >= words.length) continue;
    const close = words.indexOf("}}", start);
    const stop = words.startsWith("{{", start) && close >= 0 ? close + 2 : words.length;
    parts.push(words.slice(end, start));
    parts.push(element("span", { class: kind }, words.slice(start, stop)));
    end = stop;
  }
  return [...parts, words.slice(end)];
}

/**
 * Return what a whole line is, by its marks.
 * @param {Mark[]} marks
 * @returns {string}
 */
function kindOf(marks) {
  if (marks.some(([, kind]) => kind === "wrong")) return "wrong";
  return marks.length ? "proved" : "";
}

/** The place where the text is typed. */
export class Area {
  /** @param {string} own the beginning of the view's ids */
  constructor(own) {
    const names = { "aria-label": "The lesson's text", "aria-describedby": `${own}keys` };
    this.area = element("textarea", { ...names, ...TEXT });
    this.under = element("div", { class: "hk-under", "aria-hidden": "true" });
    // Both are as high as the text; the paper alone scrolls.
    const sheet = element("div", { class: "hk-sheet" }, this.under, this.area);
    this.paper = element("div", { class: "hk-paper" }, sheet);
    this.keys = element("p", { id: `${own}keys`, class: "hk-keys" }, KEYS);
    /** @type {{each: HTMLElement, key: string}[]} */
    this.lines = [];
    keepLines(this.area);
  }

  /**
   * Number and mark the lines as they stand; what has not changed is left alone.
   * @param {Verdict[]} verdicts
   * @returns {void}
   */
  draw(verdicts) {
    const text = this.area.value.split("\n");
    const marks = marksOf(verdicts);
    while (this.lines.length > text.length) this.lines.pop()?.each.remove();
    text.forEach((words, index) => this.drawLine(index, words, marks.get(index + 1) ?? []));
  }

  /**
   * Number and mark one line.
   * @param {number} index
   * @param {string} words
   * @param {Mark[]} marks
   * @returns {void}
   */
  drawLine(index, words, marks) {
    const key = `${words}\n${marks.join(" ")}`;
    if (!this.lines[index]) {
      const each = element("div", { "data-line": String(index + 1) });
      this.under.append(each);
      this.lines[index] = { each, key: "" };
    }
    const line = this.lines[index];
    if (line.key === key) return;
    line.key = key;
    line.each.className = kindOf(marks);
    line.each.replaceChildren(...marked(words || EMPTY, marks));
  }

  /** @returns {string} what stands before the caret */
  get before() {
    return this.area.value.slice(0, this.area.selectionStart);
  }

  /** @returns {number} the line of the caret, counted from 1 */
  get line() {
    return this.before.split("\n").length;
  }

  /**
   * Select a line, and bring it into sight.
   * @param {number} number counted from 1
   * @returns {void}
   */
  go(number) {
    const { area, paper } = this;
    const above = area.value.split("\n").slice(0, number - 1);
    const start = above.reduce((sum, each) => sum + each.length + 1, 0);
    const end = area.value.indexOf("\n", start);
    area.focus({ preventScroll: true });
    area.setSelectionRange(start, end < 0 ? area.value.length : end);
    const at = this.lines[number - 1]?.each;
    if (at) paper.scrollTop = at.offsetTop - paper.clientHeight / 3;
  }

  /**
   * Go to the next line that has to be mended, from the last one to the first.
   * @param {Verdict[]} verdicts
   * @returns {number} the line; 0 where all is well
   */
  nextWrong(verdicts) {
    const wrong = verdicts.filter(isWrong).map(([line]) => line);
    return wrong.find((line) => line > this.line) ?? wrong[0] ?? 0;
  }
}
