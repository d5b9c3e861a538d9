// The page where a lesson is written: what is typed goes to the kernel, what it says is shown.

function element(name, attributes = {}, text = "") {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text) made.textContent = text;
  return made;
}

const ROWS = ["begin", "file", "view", "build"];
// Long enough to gather quick strokes, too short to be noticed.
const GATHER_MS = 40;
const SILENT_MS = 3000;
let panels = 0;

function render({ model, el }) {
  const own = `hkw${++panels}-`;
  const tell = (message, buffers) => model.send(message, undefined, buffers);
  const root = element("div", {
    class: "harmonykit-panel hk-writing",
    role: "group",
    "aria-label": model.get("title"),
    // The notebook would take arrow keys, Enter and Ctrl-S for its own.
    "data-lm-suppress-shortcuts": "true",
  });
  const rows = Object.fromEntries(ROWS.map((name) => [name, element("div", { class: "hk-controls" })]));
  const saved = element("span", { class: "hk-saved", role: "status" });
  const trouble = element("div", { class: "hk-trouble", role: "alert" });
  const unheard = element("div", { class: "hk-unheard" });
  const work = workbench(own);
  const progress = progressBar((what) => tell({ set: what, value: "" }));
  const statements = element("section", { class: "hk-statements", "aria-label": "Statements" });
  const sides = element("div", { class: "hk-sides" });
  const results = element("section", { class: "hk-results", "aria-label": "What was built" });
  work.over.append(rows.view, work.note);
  work.head.append(rows.file);
  root.append(
    rows.begin, trouble, unheard, work.box, progress.box, statements, sides, rows.build, results,
  );
  el.append(root);

  // Text: told to the kernel one turn after the other, the newest only.
  const store = `harmonykit-writing:${model.get("kept")}`;
  let turn = 0;
  let under = 0; // the turn that the kernel was told and has not answered
  let waiting = null;
  let silent = null;
  let heardText = null;

  function typed() {
    work.draw(model.get("verdicts"));
    work.area.dataset.heard = "no";
    remember(work.area.value);
    clearTimeout(waiting);
    waiting = setTimeout(send, GATHER_MS);
  }
  function send() {
    waiting = null;
    if (under) return;
    const text = work.area.value;
    if (text === heardText) {
      work.area.dataset.heard = "yes";
      forget();
      return;
    }
    under = ++turn;
    heardText = text;
    root.dataset.asked = String(performance.now());
    silent = setTimeout(() => {
      unheard.replaceChildren(element("span", {}, "The kernel does not answer. What you type is kept by this browser."));
    }, SILENT_MS);
    tell({ text, turn });
  }
  function heard(answered) {
    if (answered !== under) return;
    under = 0;
    clearTimeout(silent);
    if (!unheard.querySelector("button")) unheard.replaceChildren();
    root.dataset.turn = String(answered);
    root.dataset.took = String(Math.round(performance.now() - Number(root.dataset.asked)));
    if (work.area.value === heardText) {
      work.area.dataset.heard = "yes";
      forget();
    } else if (waiting === null) send();
  }
  function remember(text) {
    try { localStorage.setItem(store, text); } catch { /* the browser keeps nothing */ }
  }
  function forget() {
    try { localStorage.removeItem(store); } catch { /* as above */ }
  }
  function put(text) {
    if (under || waiting !== null) { clearTimeout(waiting); waiting = null; under = 0; }
    heardText = text;
    if (work.area.value !== text) work.area.value = text;
    work.draw(model.get("verdicts"));
    offer(text);
    work.area.dataset.heard = "yes";
  }
  // What was typed while no kernel listened is offered, never lost and never put in unasked.
  function offer(text) {
    let left = null;
    try { left = localStorage.getItem(store); } catch { return; }
    unheard.replaceChildren();
    if (left === null || left === text) return;
    const back = element("button", { type: "button" }, "Bring it back");
    const drop = element("button", { type: "button" }, "Drop it");
    back.addEventListener("click", () => {
      work.area.value = left;
      unheard.replaceChildren();
      typed();
      work.area.focus();
    });
    drop.addEventListener("click", () => { forget(); unheard.replaceChildren(); work.area.focus(); });
    unheard.append(element("span", {}, "Something was typed while the kernel did not answer. "), back, drop);
  }
  work.area.addEventListener("input", typed);
  // With each key JupyterLab puts a listener here that keeps new lines out: ours is there before it.
  work.area.addEventListener("beforeinput", (event) => event.stopImmediatePropagation());
  work.area.addEventListener("keydown", (event) => {
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s") {
      event.preventDefault();
      clearTimeout(waiting);
      send();
      tell({ set: "save", value: "" });
    } else if (event.key === "F8") {
      event.preventDefault();
      const wrong = model.get("verdicts").filter((each) => isWrong(each[2])).map((each) => each[0]);
      const here = work.line();
      const next = wrong.find((line) => line > here) ?? wrong[0];
      if (next) work.go(next);
    }
  });
  const follow = () => work.follow();
  for (const event of ["keyup", "click"]) work.area.addEventListener(event, follow);

  // Controls are made anew only where there are others than before.
  let structure = "";
  const fields = new Map();
  function controls() {
    const asked = model.get("controls");
    const now = JSON.stringify(asked.map((each) => [each.id, each.kind, each.label, each.options, each.suggested]));
    if (now !== structure) {
      const held = document.activeElement?.dataset?.control;
      structure = now;
      fields.clear();
      for (const row of ROWS) rows[row].replaceChildren();
      for (const each of asked) {
        const [made, field] = control(each, tell, own, send);
        rows[each.row].append(made);
        fields.set(each.id, field);
      }
      rows.file.append(saved);
      if (held && root.contains(fields.get(held) ?? null)) fields.get(held).focus();
    }
    for (const each of asked) {
      const field = fields.get(each.id);
      if (each.kind === "button") disable(field, each.off);
      else if (each.kind === "choice") field.value = each.value;
      else if (each.kind === "text" && field === document.activeElement) field.dataset.waiting = each.value;
      else if (each.kind === "text") field.value = each.value;
    }
  }

  function said() {
    const now = model.get("said");
    saved.textContent = now.saved ?? "";
    trouble.textContent = now.trouble ?? "";
    work.say(now.note ?? "");
    progress.show(now.busy ?? "", now.progress ?? [0, 1], now.stopped ?? false);
    root.dataset.facts = now.facts ?? "";
  }
  const list = () => {
    showStatements(statements, model.get("said").summary ?? "", model.get("verdicts"), work.go);
    work.draw(model.get("verdicts"));
  };
  const beside = () => showSides(sides, model.get("sides"));
  const built = () => showResults(results, model.get("results"), model.get("said").built ?? "", (name) => tell({ open: name }));

  function message(news, buffers) {
    if ("put" in news) put(news.put);
    if ("heard" in news) heard(news.heard);
    if ("preview" in news) work.preview(news.preview);
    if ("opened" in news) opened(results, news, buffers[0]);
  }

  const themed = () => work.theme(document.body.dataset.jpThemeLight === "false" ? "dark" : "light");
  const watch = new MutationObserver(themed);
  watch.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light"] });
  const listeners = [
    ["change:controls", controls], ["change:said", said], ["change:said", list], ["change:said", built], ["change:verdicts", list],
    ["change:sides", beside], ["change:results", built], ["msg:custom", message],
  ];
  for (const [name, listener] of listeners) model.on(name, listener);
  work.whenLost(() => tell({ again: true }));
  themed();
  controls();
  said();
  list();
  beside();
  built();
  tell({ hello: true });
  return () => {
    for (const [name, listener] of listeners) model.off(name, listener);
    watch.disconnect();
    clearTimeout(waiting);
    clearTimeout(silent);
    if (work.area.value !== heardText) send();
  };
}

// What cannot be pressed keeps the focus, so that nobody is thrown out of where they were.
function disable(button, off) {
  button.setAttribute("aria-disabled", off ? "true" : "false");
}

const isWrong = (kind) => kind === "not true" || kind === "cannot be used";

// A button, a list to choose from, a line to type in, or a file to pick.
function control(each, tell, own, flush) {
  if (each.kind === "button") {
    const button = element("button", { type: "button", "data-control": each.id }, each.label);
    button.addEventListener("click", () => {
      if (button.getAttribute("aria-disabled") === "true") return;
      flush();
      tell({ set: each.id, value: "" });
    });
    return [button, button];
  }
  if (each.kind === "file") {
    const input = element("input", { type: "file", class: "hk-hidden", tabindex: "-1", "aria-hidden": "true" });
    input.accept = ".toml,.musicxml,.xml,.mxl,.abc,.mid,.midi,.lab";
    input.dataset.file = each.id;
    const button = element("button", { type: "button", "data-control": each.id }, each.label);
    button.addEventListener("click", () => input.click());
    input.addEventListener("change", async () => {
      const [file] = input.files;
      if (file) tell({ file: file.name }, [await file.arrayBuffer()]);
      input.value = "";
    });
    const both = element("span", {});
    both.append(button, input);
    return [both, button];
  }
  const label = element("label", { class: `hk-${each.kind}` });
  const field = element(each.kind === "choice" ? "select" : "input", { "data-control": each.id });
  label.append(element("span", {}, each.label), field);
  const sendIt = () => tell({ set: each.id, value: field.value });
  if (each.kind === "choice") {
    for (const option of each.options) field.append(element("option", { value: option }, option || "–"));
    field.addEventListener("change", sendIt);
    return [label, field];
  }
  field.type = "text";
  field.spellcheck = false;
  if (each.suggested.length) {
    const list = element("datalist", { id: `${own}${each.id}` });
    for (const one of each.suggested) list.append(element("option", { value: one }));
    field.setAttribute("list", list.id);
    label.append(list);
  }
  let changed = false;
  const once = () => {
    if (changed) sendIt();
    changed = false;
  };
  field.addEventListener("input", () => { changed = true; });
  field.addEventListener("change", once);
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    once();
    if (each.enter) tell({ set: each.enter, value: "" });
  });
  field.addEventListener("blur", () => {
    if (!("waiting" in field.dataset)) return;
    field.value = field.dataset.waiting;
    delete field.dataset.waiting;
  });
  return [label, field];
}

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
    inside.body.append(script);
    page = {
      inside,
      script,
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

function progressBar(press) {
  const box = element("div", { class: "hk-progress", hidden: "" });
  const words = element("span", {});
  const bar = element("progress", { max: "1", "aria-label": "Progress" });
  const button = element("button", { type: "button", "data-control": "stop" }, "Stop");
  button.addEventListener("click", () => press(button.dataset.control));
  box.append(words, bar, button);
  return {
    box,
    show: (busy, [done, total], stopped) => {
      box.hidden = !busy && !stopped;
      bar.hidden = !busy;
      words.textContent = busy ? `${busy}: ${Math.round(100 * done / total)} %` : "Stopped before all was drawn.";
      button.textContent = busy ? "Stop" : "Go on";
      button.dataset.control = busy ? "stop" : "go_on";
      bar.value = done / total;
    },
  };
}

function showStatements(box, summary, verdicts, go) {
  const items = verdicts.map(([line, column, kind, source, said, how, mend, text, caret]) => {
    const item = element("li", { class: isWrong(kind) ? "wrong" : "proved" });
    const where = element("button", { type: "button", class: "hk-line" }, `line ${line}`);
    where.addEventListener("click", () => go(line));
    const words = element("div", {});
    const first = element("p", {});
    first.append(element("b", {}, kind), " ", said);
    words.append(first);
    if (how) words.append(element("p", { class: "hk-how" }, isWrong(kind) ? `The fact: ${how}` : `Proof: ${how}`));
    if (mend) words.append(element("p", { class: "hk-how" }, `Try: ${mend}`));
    if (isWrong(kind) && text) words.append(element("pre", {}, `${text}\n${" ".repeat(caret)}^`));
    item.append(where, words);
    return item;
  });
  const key = JSON.stringify([summary, verdicts]);
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  const head = element("h3", {}, "Statements");
  const told = element("p", { role: "status", "aria-live": "polite", class: "hk-summary" }, summary);
  const list = element("ol", {});
  list.append(...items.filter((each) => each.className === "wrong"), ...items.filter((each) => each.className !== "wrong"));
  box.replaceChildren(head, told, list);
}

function showSides(box, sides) {
  const parts = [];
  const part = (title, ...inside) => {
    if (!inside.length) return;
    const section = element("section", {});
    section.append(element("h3", {}, title), ...inside);
    parts.push(section);
  };
  if (sides.minutes) {
    const table = element("table", {});
    for (const [title, spent, share] of sides.minutes) {
      const row = element("tr", {});
      const bar = element("td", { class: "hk-share" });
      const length = element("i", {});
      length.style.width = `${Math.max(share * 100, share ? 1 : 0)}%`;
      bar.append(length);
      row.append(element("th", { scope: "row" }, title), element("td", {}, spent), bar);
      table.append(row);
    }
    part("Minutes", ...(sides.total ? [element("p", {}, `All: ${sides.total}`)] : []), table);
  }
  if (sides.cautions?.length) {
    part("Take care", ...sides.cautions.map(([shapes, text]) => {
      const words = element("p", {});
      words.append(element("b", {}, shapes), `: ${text}`);
      return words;
    }));
  }
  if (sides.rights) part("Rights", ...sides.rights.map((each) => element("p", {}, each)));
  if (sides.doubts?.length) part("Notes on the tune", ...sides.doubts.map((each) => element("p", {}, each)));
  box.replaceChildren(...parts);
}

function showResults(box, results, note, open) {
  const groups = new Map();
  for (const [name, group] of results) {
    if (!groups.has(group)) groups.set(group, []);
    groups.get(group).push(name);
  }
  const key = JSON.stringify([results, note]);
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  if (!results.length) {
    box.replaceChildren();
    return;
  }
  const list = element("dl", {});
  for (const [group, names] of groups) {
    const cell = element("dd", {});
    for (const name of names) {
      const button = element("button", { type: "button", class: "hk-open", "data-open": name }, name);
      button.addEventListener("click", () => open(name));
      cell.append(button);
    }
    list.append(element("dt", {}, group), cell);
  }
  box.replaceChildren(element("h3", {}, "What was built"), element("p", {}, note), list);
}

// A page or a sheet opens beside the notebook; a sound is played here.
function opened(box, { opened: name, kind }, data) {
  const address = URL.createObjectURL(new Blob([data], { type: kind }));
  setTimeout(() => URL.revokeObjectURL(address), 600000);
  if (kind.startsWith("audio/") && kind !== "audio/midi") {
    box.querySelector("audio")?.remove();
    const audio = element("audio", { controls: "", "aria-label": name });
    audio.src = address;
    box.append(audio);
    audio.play().catch(() => {});
    return;
  }
  const link = element("a", { href: address, target: "_blank", rel: "noopener" });
  if (!/html|pdf|text|svg/.test(kind)) link.download = name.split("/").pop();
  link.click();
}

export default { render };
