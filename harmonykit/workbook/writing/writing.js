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
  const id = `${own}${Math.random()}`;
  // What goes on, and what was wrong, is said beside what was pressed.
  let used = "begin";
  const tell = (message, buffers) => {
    const asked = model.get("controls").find((each) => each.id === message.set);
    if (asked) used = asked.row;
    if ("file" in message) used = "begin";
    if ("open" in message) used = "build";
    model.send(message, undefined, buffers);
  };
  const root = element("div", {
    class: "harmonykit-panel hk-writing",
    role: "group",
    "aria-label": model.get("title"),
  });
  // The notebook would take keys for its own: an x would cut the cell.  It asks what has the focus.
  root.addEventListener("focusin", (event) => event.target.setAttribute("data-lm-suppress-shortcuts", "true"));
  const rows = Object.fromEntries(ROWS.map((name) => [name, element("div", { class: `hk-controls hk-row-${name}` })]));
  const saved = element("span", { class: "hk-saved", role: "status" });
  const trouble = element("div", { class: "hk-trouble", role: "alert" });
  const unheard = element("div", { class: "hk-unheard" });
  const work = workbench(own);
  const progress = progressBar((what) => tell({ set: what, value: "" }));
  const statements = element("section", { class: "hk-statements", "aria-label": "Statements" });
  const sides = element("div", { class: "hk-sides" });
  const below = element("div", { class: "hk-below" });
  below.append(statements, sides);
  const results = element("section", { class: "hk-results", "aria-label": "What was built" });
  work.over.append(rows.view, work.note);
  work.head.append(rows.file);
  root.append(
    rows.begin, trouble, unheard, work.box, progress.box, below, rows.build, results,
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
      under = 0; // what is typed next is told anew
      unheard.replaceChildren(element("span", {}, "The kernel does not answer. What you type is kept by this browser."));
    }, SILENT_MS);
    tell({ text, turn, by: id });
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
    if (work.area.disabled) {
      work.area.disabled = false;
      work.area.focus();
    }
    work.draw(model.get("verdicts"));
    offer(text);
    work.area.dataset.heard = "yes";
  }
  // Two views of one page: who types has the text, the other one can take it over.
  function elsewhere() {
    work.area.disabled = true;
    const here = element("button", { type: "button" }, "Go on here");
    here.addEventListener("click", () => tell({ hello: id }));
    unheard.replaceChildren(element("span", {}, "The text is being typed in another view of this page. "), here);
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

  const stand = (box, place) => { if (place.nextElementSibling !== box) place.after(box); };
  let wrong = "";
  let going = "";
  function said() {
    const now = model.get("said");
    if ((now.trouble ?? "") !== wrong) {
      wrong = now.trouble ?? "";
      stand(trouble, used === "view" ? rows.begin : rows[used]);
    }
    if ((now.busy ?? "") !== going) {
      going = now.busy ?? "";
      if (going) stand(progress.box, going === "Building" ? rows.build : work.box);
    }
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
    if ("put" in news && (!news.for || news.for === id)) put(news.put);
    if ("heard" in news && news.by === id) heard(news.heard);
    else if ("heard" in news) elsewhere();
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
  tell({ hello: id });
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

const isWrong = (kind) => kind === "fails" || kind === "cannot be used";

// A button, a list to choose from, a line to type in, or a file to pick.
function control(each, tell, own, flush) {
  if (each.kind === "button") {
    const button = element("button", { type: "button", "data-control": each.id }, each.label);
    if (each.hint) button.title = each.hint;
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

export default { render };
