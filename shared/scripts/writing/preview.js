// The preview at the right: its frame is written once, then its sections change places.

import { element, find, findAll } from "../kit/element.js";

const FRAME = { title: "Preview of the lesson", sandbox: "allow-same-origin", class: "hk-frame" };
const SVG = "http://www.w3.org/2000/svg";
const ABOVE = 12; // pixels

/**
 * What is new in the preview.
 * @typedef {object} News
 * @property {string} [frame] the page without its sections, where there is none yet
 * @property {string} [style]
 * @property {string[]} symbols
 * @property {string} [head]
 * @property {string} [foot]
 * @property {string} [care]
 * @property {[number, boolean][]} [parts] the sections in order, and whether each one waits
 * @property {Record<number, string>} html of the sections that are new
 * @property {string} [shows]
 * @property {string} [script]
 * @property {string[]} [sheet] the pages of the handout; empty where one stays as it is
 * @property {boolean} [behind]
 */

/**
 * A page that is written into the frame.
 * @typedef {object} Written
 * @property {Document} inside
 * @property {HTMLElement} main
 * @property {HTMLElement} script
 * @property {HTMLElement} sheet
 * @property {HTMLElement} style
 * @property {Map<number, Element>} sections
 * @property {Element[]} care
 */

/**
 * Return the heading of a section, or nothing.
 * @param {Element} section
 * @returns {string}
 */
function headingOf(section) {
  return section.querySelector("h2")?.textContent ?? "";
}

/**
 * Return the elements of some HTML; nothing in them is reached by the Tab key.
 * @param {Document} inside
 * @param {string} html
 * @returns {Element[]}
 */
function parsed(inside, html) {
  const part = inside.createElement("template");
  part.innerHTML = html;
  for (const each of findAll(part.content, "button, input")) each.setAttribute("tabindex", "-1");
  return [...part.content.children];
}

/**
 * Make an element of a page in the frame.
 * @param {Document} inside
 * @param {string} kind
 * @param {Record<string, string>} attributes
 * @returns {HTMLElement}
 */
function elementIn(inside, kind, attributes) {
  const made = inside.createElement(kind);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

/** The lesson as its page, its script or its sheet. */
export class Preview {
  /** @param {() => void} lost called when all has to be sent anew */
  constructor(lost) {
    this.frame = element("iframe", FRAME);
    this.theme = "light";
    /** @type {Written | null} */
    this.page = null;
    this.last = -1;
    // A frame that was taken off the page and put back is empty: all is asked for again.
    this.frame.addEventListener("load", () => {
      if (!this.page || this.frame.contentDocument === this.page.inside) return;
      this.page = null;
      lost();
    });
  }

  /**
   * Show what is new.
   * @param {News} news
   * @returns {void}
   */
  show(news) {
    if (news.frame) this.page = this.write(news.frame);
    const { page } = this;
    if (!page) return;
    if (news.style !== undefined) page.style.textContent = news.style;
    if (news.symbols.length) this.addShapes(page, news.symbols);
    for (const [html, tag] of [[news.head, "header"], [news.foot, "footer"]]) {
      if (html) page.inside.querySelector(tag ?? "")?.replaceWith(...parsed(page.inside, html));
    }
    if (news.care !== undefined) this.replaceCare(page, news.care);
    if (news.parts) this.arrange(page, news.parts, news.html);
    if (news.shows !== undefined) page.inside.documentElement.dataset.shows = news.shows;
    if (news.script !== undefined) page.script.innerHTML = news.script;
    if (news.sheet) this.putPages(page, news.sheet);
    page.sheet.setAttribute("aria-busy", String(Boolean(news.behind)));
  }

  /**
   * Write a page without sections into the frame.
   * @param {string} html
   * @returns {Written}
   */
  write(html) {
    const inside = /** @type {Document} */ (this.frame.contentDocument);
    inside.open();
    inside.write(html);
    inside.close();
    inside.documentElement.dataset.theme = this.theme;
    const script = elementIn(inside, "div", { class: "column script text" });
    const sheet = elementIn(inside, "div", { class: "sheet" });
    inside.body.append(script, sheet);
    const style = inside.head.appendChild(inside.createElement("style"));
    const main = find(inside, "main");
    main.replaceChildren();
    return { inside, main, script, sheet, style, sections: new Map(), care: [] };
  }

  /**
   * Add shapes that are drawn once and used often.
   * @param {Written} page
   * @param {string[]} symbols
   * @returns {void}
   */
  addShapes({ inside }, symbols) {
    const svg = `<svg xmlns="${SVG}">${symbols.join("")}</svg>`;
    const shapes = new DOMParser().parseFromString(svg, "text/html");
    find(inside, ".store").append(...shapes.querySelectorAll("symbol"));
  }

  /**
   * Put the cautions at the end of the page.
   * @param {Written} page
   * @param {string} html
   * @returns {void}
   */
  replaceCare(page, html) {
    for (const each of page.care) each.remove();
    page.care = parsed(page.inside, html);
    page.main.append(...page.care);
  }

  /**
   * Show the pages of the handout.
   * @param {Written} page
   * @param {string[]} pages
   * @returns {void}
   */
  putPages({ inside, sheet }, pages) {
    while (sheet.childElementCount > pages.length) sheet.lastElementChild?.remove();
    pages.forEach((svg, index) => {
      const names = { role: "img", "aria-label": `Page ${index + 1} of the handout` };
      if (!sheet.children[index]) sheet.append(elementIn(inside, "div", names));
      if (svg) sheet.children[index].innerHTML = svg;
    });
  }

  /**
   * Put sections in order: new ones are put in, old ones change places or go.
   * @param {Written} page
   * @param {[number, boolean][]} parts
   * @param {Record<number, string>} html
   * @returns {void}
   */
  arrange(page, parts, html) {
    const before = [...page.sections.values()];
    /** @type {Map<number, Element>} */
    const next = new Map();
    for (const [number, waits] of parts) {
      const fresh = () => this.freshSection(page, html[number], waits ? before : [], next);
      const section = page.sections.get(number) ?? fresh();
      if (waits) section.setAttribute("aria-busy", "true");
      else section.removeAttribute("aria-busy");
      next.set(number, section);
    }
    const kept = new Set(next.values());
    for (const each of before) if (!kept.has(each)) each.remove();
    let place = page.main.firstElementChild;
    for (const section of next.values()) {
      if (section === place) place = place.nextElementSibling;
      else page.main.insertBefore(section, place);
    }
    page.sections = next;
  }

  /**
   * Return a section that is new.  What is being worked out leaves what stood there, marked, until
   * it is ready.
   * @param {Written} page
   * @param {string} html
   * @param {Element[]} before what may be left
   * @param {Map<number, Element>} taken
   * @returns {Element}
   */
  freshSection(page, html, before, taken) {
    const [section] = parsed(page.inside, html);
    const used = new Set(taken.values());
    const isOld = (/** @type {Element} */ each) => headingOf(each) === headingOf(section);
    return before.find((each) => isOld(each) && !used.has(each)) ?? section;
  }

  /**
   * Bring the section into sight in which one types.
   * @param {string} before what stands before the caret
   * @returns {void}
   */
  follow(before) {
    const number = before.split("\n").filter((each) => /^##\s/.test(each)).length;
    const all = [...(this.page?.sections.values() ?? [])];
    const view = this.frame.contentWindow;
    if (!view || number === this.last || !all.length) return;
    this.last = number;
    const opening = headingOf(all[0]) ? 1 : 0;
    const section = all[Math.min(Math.max(number - opening, 0), all.length - 1)];
    const top = number ? section.getBoundingClientRect().top + view.scrollY - ABOVE : 0;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    view.scrollTo({ top, behavior: still ? "auto" : "smooth" });
  }

  /**
   * Show it light or dark.
   * @param {string} theme
   * @returns {void}
   */
  dress(theme) {
    this.theme = theme;
    if (this.page) this.page.inside.documentElement.dataset.theme = theme;
  }
}
