// Shows a scene, changes classes and letters as the kernel says, and tells it what was pressed.
let panels = 0;

function element(name, attributes = {}, text = "") {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text) made.textContent = text;
  return made;
}

function render({ model, el }) {
  const own = `hk${++panels}-`;
  const root = element("div", {
    class: "harmonykit-panel",
    role: "group",
    "aria-label": model.get("title"),
  });
  // The notebook would take keys for its own: an x would cut the cell.  It asks what has the focus.
  root.addEventListener("focusin", (event) => event.target.setAttribute("data-lm-suppress-shortcuts", "true"));
  const lead = element("p", { class: "hk-lead", role: "status", "aria-live": "polite" });
  const bar = element("div", { class: "hk-controls" });
  const figure = element("div", { class: "hk-figure" });
  const facts = element("p", { class: "hk-facts", role: "status", "aria-live": "polite" });
  const foot = element("div", { class: "hk-controls hk-foot" });
  const audio = element("audio", { preload: "auto" });
  root.append(lead, bar, figure, facts, foot, audio);
  el.append(root);

  let parts = new Map();
  let lines = new Map();
  let applied = {};
  let current = null;

  const tell = (message) => model.send(message);

  // The scene: made once, then only looks change.
  function build() {
    const mark = model.get("mark_id");
    figure.innerHTML = model.get("scene").replaceAll(mark, own + mark);
    parts = new Map();
    lines = new Map();
    for (const each of figure.querySelectorAll("[data-part]")) {
      const use = each.querySelector("use");
      const text = each.querySelector("text");
      parts.set(each.dataset.part, {
        each, use, text, home: each.getAttribute("transform"), scale: use.getAttribute("transform"),
      });
      if (!each.dataset.press) each.setAttribute("aria-hidden", "true");
    }
    for (const each of figure.querySelectorAll("[data-line]")) lines.set(each.dataset.line, each);
    applied = {};
    current = null;
  }

  function dress(id, part, look) {
    const [role, text, name, on, at] = look;
    const [colour, weight] = (model.get("letters")[role] ?? model.get("letters")[""]);
    const own_size = figure.querySelector(`[id="${own}${model.get("mark_id")}${role}"][data-own]`);
    part.each.setAttribute("class", role);
    part.use.setAttribute("href", `#${own}${model.get("mark_id")}${role}`);
    part.use.setAttribute("transform", own_size ? "" : part.scale);
    part.text.textContent = text;
    part.text.setAttribute("fill", colour);
    part.text.setAttribute("font-weight", weight);
    const home = at.length ? `translate(${at[0] * 72 / 25.4} ${at[1] * 72 / 25.4})` : part.home;
    part.each.setAttribute("transform", home);
    if (!part.each.dataset.press) return;
    // What has no name cannot be pressed at the moment.
    part.each.style.display = name ? "" : "none";
    part.each.setAttribute("role", "button");
    part.each.setAttribute("aria-label", name);
    part.each.setAttribute("aria-pressed", on ? "true" : "false");
  }

  function update() {
    const shown = model.get("shown");
    for (const [id, part] of parts) {
      const look = shown.looks[id] ?? ["none", "", "", false, []];
      const key = JSON.stringify(look);
      if (applied[id] !== key) {
        applied[id] = key;
        dress(id, part, look);
      }
    }
    for (const [id, line] of lines) line.setAttribute("d", shown.lines[id] ?? "");
    const said = shown.trouble || shown.facts;
    if (facts.textContent !== said) facts.textContent = said;
    facts.classList.toggle("wrong", Boolean(shown.trouble));
    if (lead.textContent !== shown.lead) lead.textContent = shown.lead;
    lead.hidden = !shown.lead;
    figure.querySelector("svg").setAttribute("aria-label", model.get("title"));
    root.dataset.count = String(Number(root.dataset.count ?? 0) + 1);
    reach();
  }

  // One stop of the Tab key; arrow keys go to the nearest part in their direction.
  const pressable = () => [...parts.values()].map((part) => part.each)
    .filter((each) => each.dataset.press && each.style.display !== "none");

  function reach(wanted) {
    const all = pressable();
    if (wanted) current = wanted;
    if (!all.includes(current)) {
      current = all.find((each) => each.getAttribute("aria-pressed") === "true") ?? all[0];
    }
    for (const each of all) each.setAttribute("tabindex", each === current ? "0" : "-1");
    if (wanted) wanted.focus();
  }

  const middle = (each) => {
    const box = each.querySelector(".hit").getBoundingClientRect();
    return [box.left + box.width / 2, box.top + box.height / 2];
  };
  const WAYS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowDown: [0, 1], ArrowUp: [0, -1] };

  function neighbour(from, [dx, dy]) {
    const [x, y] = middle(from);
    let best = null;
    let least = Infinity;
    for (const each of pressable()) {
      const [ex, ey] = middle(each);
      const along = (ex - x) * dx + (ey - y) * dy;
      const aside = Math.abs((ex - x) * dy) + Math.abs((ey - y) * dx);
      if (each !== from && along > 1 && along + 2 * aside < least) {
        least = along + 2 * aside;
        best = each;
      }
    }
    return best;
  }

  figure.addEventListener("click", (event) => {
    const part = event.target.closest("[data-press]");
    if (!part) return;
    reach(part);
    tell({ press: part.dataset.part });
  });
  figure.addEventListener("keydown", (event) => {
    const part = event.target.closest("[data-press]");
    if (!part) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      tell({ press: part.dataset.part });
    } else if (WAYS[event.key]) {
      event.preventDefault();
      const next = neighbour(part, WAYS[event.key]);
      if (next) reach(next);
    }
  });

  // Controls are made anew only where there are others than before.
  let structure = "";
  const fields = new Map();

  function control(each) {
    if (each.kind === "button") {
      const button = element("button", { type: "button", "data-control": each.id }, each.label);
      button.addEventListener("click", () => tell({ set: each.id, value: "" }));
      return [button, null];
    }
    const label = element("label", { class: `hk-${each.kind}` });
    const tag = each.kind === "choice" ? "select" : "input";
    const field = element(tag, { "data-control": each.id });
    if (each.kind === "check") field.type = "checkbox";
    if (each.kind === "text") field.type = "text";
    for (const option of each.options) field.append(element("option", { value: option }, option));
    const send = () => tell({ set: each.id, value: each.kind === "check" ? field.checked : field.value });
    if (each.kind === "text") {
      // Enter and leaving the field both say that it is done: what was typed is told once.
      let typed = false;
      const once = () => {
        if (typed) send();
        typed = false;
      };
      field.addEventListener("input", () => { typed = true; });
      field.addEventListener("change", once);
      field.addEventListener("keydown", (event) => {
        if (event.key !== "Enter") return;
        once();
        if (each.enter) tell({ set: each.enter, value: "" });
      });
      // While someone types, the field is theirs: what came meanwhile is shown when they leave it.
      field.addEventListener("blur", () => {
        if (!("waiting" in field.dataset)) return;
        field.value = field.dataset.waiting;
        delete field.dataset.waiting;
      });
    } else field.addEventListener("change", send);
    if (each.kind === "check") label.append(field, " ", each.label);
    else label.append(element("span", {}, each.label), field);
    return [label, field];
  }

  function controls() {
    const asked = model.get("controls");
    const now = JSON.stringify(asked.map((each) => [each.id, each.kind, each.label, each.options]));
    if (now !== structure) {
      structure = now;
      fields.clear();
      bar.replaceChildren();
      foot.replaceChildren();
      for (const each of asked) {
        const [made, field] = control(each);
        (each.id === "share" ? foot : bar).append(made);
        if (field) fields.set(each.id, field);
      }
    }
    for (const each of asked) {
      const field = fields.get(each.id);
      if (field && each.kind === "check") field.checked = each.value;
      else if (field && each.kind === "choice") field.value = each.value;
      else if (field && field === document.activeElement) field.dataset.waiting = each.value;
      else if (field) field.value = each.value;
    }
  }

  let address = "";
  function sound(message, buffers) {
    if (!("sound" in message)) return;
    if (address) URL.revokeObjectURL(address);
    root.dataset.sound = String(message.sound);
    delete root.dataset.played;
    address = URL.createObjectURL(new Blob([buffers[0]], { type: "audio/wav" }));
    audio.src = address;
    audio.play().then(() => { root.dataset.played = String(audio.duration); }, (error) => {
      // A sound that gives way to the next one is no fault.
      if (error.name !== "AbortError") facts.textContent = `no sound: ${error.message}`;
    });
  }

  const rebuild = () => { build(); update(); };
  model.on("change:scene", rebuild);
  model.on("change:shown", update);
  model.on("change:controls", controls);
  model.on("msg:custom", sound);
  rebuild();
  controls();
  return () => {
    model.off("change:scene", rebuild);
    model.off("change:shown", update);
    model.off("change:controls", controls);
    model.off("msg:custom", sound);
    if (address) URL.revokeObjectURL(address);
  };
}

export default { render };
