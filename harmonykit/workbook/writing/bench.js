// The text at the left, numbered and marked line by line; the preview at the right.
function workbench(own) {
  const box = element("div", { class: "hk-bench" });
  const left = element("div", { class: "hk-left" });
  const right = element("div", { class: "hk-right" });
  const over = element("div", { class: "hk-over" });
  const note = element("p", { class: "hk-note", role: "status" });
  const paper = element("div", { class: "hk-paper" });
  const under = element("div", { class: "hk-under", "aria-hidden": "true" });
  const area = element("textarea", {
    "aria-label": "The lesson's text", "aria-describedby": `${own}keys`, spellcheck: "false",
    autocapitalize: "off", autocomplete: "off", wrap: "soft", "data-control": "text",
  });
  const keys = element("p", { id: `${own}keys`, class: "hk-keys" },
    "Tab leaves the text · Ctrl-S saves it · F8 goes to the next line to mend");
  const frame = element("iframe", {
    title: "Preview of the lesson", sandbox: "allow-same-origin", class: "hk-frame",
  });
  // Both are as high as the text; the paper alone scrolls.
  const sheet = element("div", { class: "hk-sheet" });
  sheet.append(under, area);
  paper.append(sheet);
  const head = element("div", { class: "hk-over" });
  left.append(head, paper, keys);
  right.append(over, frame);
  box.append(left, right);

  // Numbers and marks: a line of its own under each line of the text, wrapped alike.
  const lines = [];
  const known = [];
  function draw(verdicts) {
    const text = area.value.split("\n");
    const marks = new Map();
    for (const [number, column, kind] of verdicts) {
      if (!marks.has(number)) marks.set(number, []);
      marks.get(number).push([column - 1, isWrong(kind) ? "wrong" : "proved"]);
    }
    while (lines.length > text.length) lines.pop().remove();
    known.length = lines.length;
    text.forEach((words, index) => {
      const found = marks.get(index + 1) ?? [];
      const key = `${words}\n${found.join(" ")}`;
      if (known[index] === key) return;
      known[index] = key;
      if (!lines[index]) {
        lines[index] = element("div", { "data-line": String(index + 1) });
        under.append(lines[index]);
      }
      lines[index].className = found.some((each) => each[1] === "wrong") ? "wrong" : found.length ? "proved" : "";
      lines[index].replaceChildren(...marked(words || "\u200b", found));
    });
  }
  function marked(words, found) {
    const parts = [];
    let end = 0;
    for (const [start, kind] of [...found].sort((one, other) => one[0] - other[0])) {
      if (start < end || start >= words.length) continue;
      const close = words.indexOf("}}", start);
      const stop = words.startsWith("{{", start) && close >= 0 ? close + 2 : words.length;
      parts.push(words.slice(end, start), element("span", { class: kind }, words.slice(start, stop)));
      end = stop;
    }
    return [...parts, words.slice(end)];
  }
  const line = () => area.value.slice(0, area.selectionStart).split("\n").length;
  function go(number) {
    const start = area.value.split("\n").slice(0, number - 1).reduce((sum, each) => sum + each.length + 1, 0);
    const end = area.value.indexOf("\n", start);
    area.focus({ preventScroll: true });
    area.setSelectionRange(start, end < 0 ? area.value.length : end);
    const at = lines[number - 1];
    if (at) paper.scrollTop = at.offsetTop - paper.clientHeight / 3;
    box.scrollIntoView({ block: "nearest" });
    follow();
  }

  // The preview: its frame is written once, then its sections change places.
  const shown = { theme: "light" };
  let page = null;
  function begin(html) {
    const inside = frame.contentDocument;
    inside.open();
    inside.write(html);
    inside.close();
    inside.documentElement.dataset.theme = shown.theme;
    const script = inside.createElement("div");
    script.className = "column script text";
    const sheet = inside.createElement("div");
    sheet.className = "sheet";
    inside.body.append(script, sheet);
    page = {
      inside,
      script,
      sheet,
      main: inside.querySelector("main"),
      store: inside.querySelector(".store"),
      style: inside.head.appendChild(inside.createElement("style")),
      sections: new Map(),
      care: [],
    };
    page.main.replaceChildren();
  }
  // A frame that was taken off the page and put back is empty: all is asked for again.
  let lost = () => {};
  frame.addEventListener("load", () => {
    if (!page || frame.contentDocument === page.inside) return;
    page = null;
    lost();
  });
  const parsed = (html) => {
    const part = page.inside.createElement("template");
    part.innerHTML = html;
    for (const each of part.content.querySelectorAll("button, input")) each.setAttribute("tabindex", "-1");
    return [...part.content.children];
  };
  function preview(news) {
    if (news.frame) begin(news.frame);
    if (!page) return;
    if ("style" in news) page.style.textContent = news.style;
    if (news.symbols.length) {
      const shapes = new DOMParser().parseFromString(
        `<svg xmlns="http://www.w3.org/2000/svg">${news.symbols.join("")}</svg>`, "text/html");
      page.store.append(...shapes.querySelectorAll("symbol"));
    }
    for (const [name, tag] of [["head", "header"], ["foot", "footer"]]) {
      if (name in news && news[name]) page.inside.querySelector(tag)?.replaceWith(...parsed(news[name]));
    }
    if ("care" in news) {
      for (const each of page.care) each.remove();
      page.care = parsed(news.care);
      page.main.append(...page.care);
    }
    if ("parts" in news) arrange(news.parts, news.html);
    if ("shows" in news) page.inside.documentElement.dataset.shows = news.shows;
    if ("script" in news) page.script.innerHTML = news.script;
    if (news.sheet) pages(news.sheet);
    page.sheet.setAttribute("aria-busy", news.behind ? "true" : "false");
  }
  function pages(sheet) {
    while (page.sheet.childElementCount > sheet.length) page.sheet.lastElementChild.remove();
    sheet.forEach((svg, index) => {
      if (!page.sheet.children[index]) {
        const place = page.inside.createElement("div");
        place.setAttribute("role", "img");
        place.setAttribute("aria-label", `Page ${index + 1} of the handout`);
        page.sheet.append(place);
      }
      if (svg) page.sheet.children[index].innerHTML = svg;
    });
  }
  const heading = (section) => section.querySelector("h2")?.textContent ?? "";
  function arrange(parts, html) {
    const before = [...page.sections.values()];
    const next = new Map();
    for (const [number, waits] of parts) {
      let section = page.sections.get(number);
      if (!section) {
        [section] = parsed(html[number]);
        // What is being worked out leaves what stood there, marked, until it is ready.
        const old = waits && before.find((each) => heading(each) === heading(section) && ![...next.values()].includes(each));
        if (old) section = old;
      }
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
  // The section in which one types is brought into sight.
  let last = -1;
  function follow() {
    const before = area.value.slice(0, area.selectionStart).split("\n");
    const number = before.filter((each) => /^##\s/.test(each)).length;
    if (!page || number === last || !page.sections.size) return;
    last = number;
    const all = [...page.sections.values()];
    const opening = heading(all[0]) ? 1 : 0;
    const section = all[Math.min(Math.max(number - opening, 0), all.length - 1)];
    const view = frame.contentWindow;
    const top = number === 0 ? 0 : section.getBoundingClientRect().top + view.scrollY - 12;
    view.scrollTo({ top, behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
  }
  return {
    box, head, over, area, note, draw, line, go, preview, follow,
    whenLost: (ask) => { lost = ask; },
    say: (words) => { note.textContent = words; right.classList.toggle("hk-marked", Boolean(words)); },
    theme: (name) => {
      shown.theme = name;
      if (page) page.inside.documentElement.dataset.theme = name;
    },
  };
}
