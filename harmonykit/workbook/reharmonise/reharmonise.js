// Shows the regions of the page as the kernel draws them, tells it what was pressed and typed, and
// plays the sounds that it sends, with the bar and the chord that sound marked in the chart.
let panels = 0;
const TYPED_MS = 350;
const REGIONS = ["source", "settings", "plot", "choices", "table", "chart", "neck", "staff", "reasons"];

const FRAME = `
<p class="hk-said" role="status" aria-live="polite"></p>
<p class="hk-trouble" role="alert" hidden></p>
<section><h3>The tune</h3>
<label class="hk-tune"><span>typed or pasted: changes between bar lines, our text form, ABC or MusicXML</span>
<textarea spellcheck="false" rows="8" data-typed="text"></textarea></label>
<div data-region="source"></div></section>
<section><h3>What may be done with it</h3>
<div data-region="settings"></div></section>
<section><h3>The ways, by numbers</h3>
<div class="hk-busy" hidden><span></span><progress></progress><button type="button" data-do="stop">Stop</button></div>
<div class="hk-ways"><div class="hk-figure" data-region="plot"></div>
<div><ul class="hk-key"><li><span class="hk-mark best">1</span>one of the best, as priced</li><li><span class="hk-mark front">A</span>a choice of the front</li><li><span class="hk-mark dot"></span>another of the front</li><li><span class="hk-mark written">0</span>the tune as written</li><li><span class="hk-mark ring"></span>shown below</li><li><span class="hk-mark ring dashed"></span>beside it</li></ul>
<div data-region="choices"></div></div></div>
<div data-region="table"></div></section>
<section><h3>What is shown</h3>
<div class="hk-player"><div class="hk-row">
<button type="button" class="hk-play" data-play="chosen">Hear it</button>
<button type="button" data-play="beside">Hear the one beside it</button>
<button type="button" data-play="both">Hear both in turn</button>
<button type="button" data-swap="1" hidden>Change over</button>
<span class="hk-tabs" role="group" aria-label="shown as">
<button type="button" data-set="view" data-value="chart">Chart</button><button type="button" data-set="view" data-value="neck">Neck</button><button type="button" data-set="view" data-value="staff">Staff</button></span>
<button type="button" data-do="unlock">Let all bars change</button></div>
<div class="hk-now" hidden aria-hidden="true"><p class="hk-where"></p>
<div><small>now</small><b class="chord"></b><svg><use/></svg></div>
<div class="hk-next"><small>next</small><b class="chord"></b><svg><use/></svg></div></div></div>
<p class="hk-note">Press a bar and it is kept as written; press it again and it may change. Its number plays from there.</p>
<div class="hk-chart" data-region="chart"></div>
<div data-region="neck"></div>
<div data-region="staff"></div></section>
<section><h3>The reasons</h3>
<div data-region="reasons"></div></section>
<section><h3>Take it away</h3>
<div class="hk-row hk-exports"></div>
<p class="hk-written" role="status"></p></section>`;

function render({ model, el }) {
  const own = `hkr${++panels}-`;
  const root = document.createElement("div");
  root.className = "hk-reharmonise";
  root.setAttribute("role", "group");
  root.setAttribute("aria-label", model.get("title"));
  // The notebook would take arrow keys and Enter for its own.
  root.dataset.lmSuppressShortcuts = "true";
  root.innerHTML = FRAME;
  el.append(root);
  // The notebook would take keys for its own: an x would cut the cell.  It asks what has the focus.
  root.addEventListener("focusin", (event) => event.target.setAttribute("data-lm-suppress-shortcuts", "true"));
  const find = (query) => root.querySelector(query);
  const all = (query) => [...root.querySelectorAll(query)];
  const region = (name) => find(`[data-region="${name}"]`);
  // Each message bears a number, which comes back once it is answered and once all is drawn.
  let turn = Date.now();
  let asked = 0;
  let awaited = null;
  function tell(message, buffers) {
    turn += 1;
    awaited = turn;
    asked = performance.now();
    root.dataset.settled = "no";
    model.send({ ...message, turn }, undefined, buffers);
  }

  // Regions: put in anew as a whole; focus, scrolling and what is being typed are kept.
  const sign = (each) => ["data-set", "data-value", "data-press", "data-do", "data-typed"]
    .filter((name) => each.hasAttribute(name))
    .map((name) => `[${name}="${CSS.escape(each.getAttribute(name))}"]`).join("");

  function put(name) {
    const place = region(name);
    const html = model.get(name);
    if (place.dataset.shown === html) return;
    const active = place.contains(document.activeElement) ? document.activeElement : null;
    const again = active && `${active.tagName.toLowerCase()}${sign(active)}`;
    const typing = active && active.tagName === "INPUT" && active.type === "text" ? active.value : null;
    const scrolled = [...place.querySelectorAll("[tabindex='0']")].map((each) => [each.scrollTop, each.scrollLeft]);
    const open = [...place.querySelectorAll("details")].map((each) => each.open);
    place.innerHTML = html.replaceAll("@own@", own);
    place.dataset.shown = html;
    place.querySelectorAll("[tabindex='0']").forEach((each, n) => {
      if (scrolled[n]) [each.scrollTop, each.scrollLeft] = scrolled[n];
    });
    place.querySelectorAll("details").forEach((each, n) => { if (open[n]) each.open = true; });
    reach(place);
    const back = again && sign(active) && place.querySelector(again);
    if (back) {
      if (typing !== null && active.dataset.dirty) { back.value = typing; back.dataset.dirty = "1"; }
      if (back.hasAttribute("data-press")) focusOn(back); else back.focus({ preventScroll: true });
    }
  }

  // One stop of the Tab key for the marks of the plot and one for the bars of a chart; arrows go on.
  const group = (each) => each.closest(".chart, [data-region=plot] svg");
  const marks = (each) => [...each.querySelectorAll("[data-press][role=button]")];

  function reach(place) {
    for (const each of place.querySelectorAll(".chart, [data-region=plot] svg, svg[role=group]")) {
      const found = marks(each);
      const first = found.find((one) => one.getAttribute("aria-pressed") === "true" && each.tagName === "svg");
      if (found.length) (first ?? found[0]).setAttribute("tabindex", "0");
    }
  }
  function focusOn(each) {
    const around = group(each) ?? each.closest("svg");
    if (around) for (const one of marks(around)) one.setAttribute("tabindex", one === each ? "0" : "-1");
    each.focus({ preventScroll: false });
  }
  const WAYS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowDown: [0, 1], ArrowUp: [0, -1] };
  function neighbour(from, [dx, dy]) {
    const middle = (each) => {
      const box = each.getBoundingClientRect();
      return [box.left + box.width / 2, box.top + box.height / 2];
    };
    const [x, y] = middle(from);
    let best = null;
    let least = Infinity;
    for (const each of marks(group(from) ?? from.closest("svg"))) {
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

  let asking = null;
  for (const kind of ["click", "keydown", "change"]) {
    root.addEventListener(kind, (event) => { asking = event.target.closest("section") ?? asking; }, true);
  }

  root.addEventListener("click", (event) => {
    const at = (query) => event.target.closest(query);
    const button = at("button");
    if (at("[data-from]")) return play(at("[data-way]").dataset.way, Number(at("[data-from]").dataset.from));
    if (at("[data-play]")) return playing || wanted ? stop() : play(at("[data-play]").dataset.play, 0);
    if (at("[data-swap]")) return swap();
    if (button?.dataset.do === "open") return tell({ open: find("[data-typed=path]").value });
    if (button?.dataset.do) return tell({ do: button.dataset.do });
    if (button?.dataset.export) return tell({ export: button.dataset.export });
    if (button && "set" in button.dataset) return tell({ set: button.dataset.set, value: button.dataset.value });
    const part = at("[data-press]");
    if (!part) return;
    if (part.getAttribute("role") === "button") focusOn(part);
    tell({ press: part.dataset.press });
  });
  root.addEventListener("keydown", (event) => {
    const line = event.target.closest("[data-enter]");
    if (line && event.key === "Enter") return tell({ open: line.value });
    const field = event.target.closest("input[type=text][data-set]");
    if (field && event.key === "Enter") return send(field);
    const part = event.target.closest("[data-press][role=button]");
    if (!part) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      tell({ press: part.dataset.press });
    } else if (WAYS[event.key]) {
      event.preventDefault();
      const next = neighbour(part, WAYS[event.key]);
      if (next) focusOn(next);
    }
  });
  const send = (field) => {
    delete field.dataset.dirty;
    const value = field.type === "checkbox" ? field.checked : field.value;
    if (field.dataset.set !== "shipped") return tell({ set: field.dataset.set, value });
    if (value) tell({ open: value });
    field.value = "";
  };
  root.addEventListener("change", (event) => {
    const field = event.target;
    if (field.dataset.upload) return upload(field.files[0]);
    if (field.matches("input[data-set], select[data-set]")) send(field);
  });
  root.addEventListener("input", (event) => { event.target.dataset.dirty = "1"; });

  async function upload(file) {
    if (!file) return;
    tell({ upload: file.name }, [await file.arrayBuffer()]);
  }

  // What is typed is told soon after the last key, and at once when the field is left.
  const text = find("textarea");
  // With each key JupyterLab puts a listener here that keeps new lines out: ours is there before it.
  text.addEventListener("beforeinput", (event) => event.stopImmediatePropagation());
  let waiting = 0;
  let told = model.get("text");
  // Until the kernel has it, the browser keeps it: a kernel may be dead without anybody knowing.
  const kept = `harmonykit ${model.get("kept")} ${location.pathname}`;
  const tellText = () => {
    clearTimeout(waiting);
    waiting = 0;
    if (text.value === told) return settle();
    told = text.value;
    tell({ set: "text", value: told });
  };
  text.addEventListener("input", () => {
    if (model.get("kept")) localStorage.setItem(kept, text.value);
    clearTimeout(waiting);
    waiting = setTimeout(tellText, TYPED_MS);
  });
  text.addEventListener("change", tellText);
  function putText() {
    const now = model.get("text");
    if (now === text.value) localStorage.removeItem(kept);
    // While someone types, the field is theirs.
    if (waiting || (text === document.activeElement && text.value !== now && told === text.value && now !== told && text.dataset.dirty)) return;
    told = now;
    if (text.value !== now) text.value = now;
    delete text.dataset.dirty;
  }
  text.addEventListener("blur", putText);

  // The line at the top, and what is shown.
  let refused = false;
  function putStatus() {
    const now = model.get("status");
    const said = find(".hk-said");
    if (said.textContent !== now.said) said.textContent = now.said ?? "";
    const busy = find(".hk-busy");
    busy.hidden = !now.busy;
    busy.querySelector("span").textContent = now.doing ?? "";
    const bar = busy.querySelector("progress");
    bar.setAttribute("aria-label", now.doing || "nothing is searched");
    if (now.total > 1) { bar.max = now.total; bar.value = now.done; } else bar.removeAttribute("value");
    const trouble = find(".hk-trouble");
    // What could not be set is shown until the next thing is done, then what stands.
    if (refused && !now.trouble) {
      for (const name of ["source", "settings"]) {
        delete region(name).dataset.shown;
        put(name);
      }
    }
    refused = Boolean(now.trouble);
    // What went wrong is said where it was asked.
    if (now.trouble && asking && trouble.parentNode !== asking) asking.querySelector("h3").after(trouble);
    trouble.hidden = !now.trouble;
    if (trouble.textContent !== now.trouble) trouble.textContent = now.trouble ?? "";
    if (now.trouble && wanted) stop();
    find(".hk-written").textContent = now.written ? `Written: ${now.written}` : "";
    root.dataset.busy = String(Boolean(now.busy));
    if (asked && now.heard === turn) {
      root.dataset.took = String(Math.round(performance.now() - asked));
      asked = 0;
    }
    settle();
  }
  function settle() {
    const drawn = !waiting && (awaited === null || model.get("shown") === awaited);
    root.dataset.settled = drawn && !model.get("status").busy ? "yes" : "no";
  }
  function putView() {
    const now = model.get("view");
    for (const each of all(".hk-tabs button")) each.setAttribute("aria-pressed", String(each.dataset.value === now));
    for (const name of ["neck", "staff"]) region(name).hidden = now !== name;
    region("chart").hidden = now !== "chart";
  }
  function putExports() {
    const made = model.get("exports").map(({ id, label }) => {
      const button = document.createElement("button");
      button.type = "button";
      button.dataset.export = id;
      button.textContent = label;
      return button;
    });
    find(".hk-exports").replaceChildren(...made);
  }

  // Sound: kept here by its name, so that the same way is asked for once.
  const audio = { chosen: new Audio(), beside: new Audio() };
  root.append(audio.chosen, audio.beside);
  const heard = { chosen: null, beside: null };
  let wanted = null;
  let playing = null;
  let frame = 0;

  function forget(which) {
    if (!heard[which]) return;
    audio[which].removeAttribute("src");
    audio[which].load();
    URL.revokeObjectURL(heard[which].address);
    heard[which] = null;
  }
  function putSounds() {
    const keys = model.get("sounds");
    for (const which of ["chosen", "beside"]) {
      if (heard[which] && heard[which].key !== keys[which]) {
        if (playing?.now === which) stop();
        forget(which);
      }
    }
    for (const name of ["beside", "both"]) find(`[data-play=${name}]`).disabled = !keys.beside;
  }
  function labels(which, text) {
    for (const each of all("[data-play]")) {
      each.dataset.label ??= each.textContent;
      each.textContent = each.dataset.play === which ? text : each.dataset.label;
    }
  }
  const needs = (which) => (which === "both" ? ["chosen", "beside"] : [which]);

  function play(which, bar) {
    stop();
    wanted = { which, bar };
    if (needs(which).every((name) => heard[name])) {
      begin();
      // The other one is made meanwhile, so that one can change over.
      if (model.get("sounds").beside && !(heard.chosen && heard.beside)) ask(which);
      return;
    }
    root.dataset.sound = "asked";
    labels(which, "Making the sound …");
    ask(which);
  }
  function ask(which) {
    tell({ hear: which, have: Object.values(heard).filter(Boolean).map((each) => each.key) });
  }
  function took(message, buffers) {
    if (!("sound" in message)) return;
    const { sound, key, times } = message;
    if (model.get("sounds")[sound] !== key) return;
    if (playing?.now === sound) stop();
    forget(sound);
    const address = URL.createObjectURL(new Blob([buffers[0]], { type: "audio/wav" }));
    heard[sound] = { key, times, address };
    audio[sound].src = address;
    if (wanted && needs(wanted.which).every((name) => heard[name])) begin();
    else if (playing) find("[data-swap]").hidden = !(heard.chosen && heard.beside);
  }
  function begin() {
    const { which, bar } = wanted;
    wanted = null;
    const now = which === "both" ? "chosen" : which;
    playing = { which, now, turn: 0, marked: -1 };
    const start = bar ? heard[now].times.bars[bar] : 0;
    const { turns } = heard[now].times;
    while (turns[playing.turn + 1] <= start + 1e-6) playing.turn += 1;
    sounds(now, start);
  }
  function sounds(name, time) {
    audio[playing.now].pause();
    playing.now = name;
    const file = audio[name];
    const start = () => {
      file.currentTime = time;
      file.play().then(() => { root.dataset.sound = String(heard[name].times.seconds); }, (error) => {
        if (error.name !== "AbortError") find(".hk-trouble").textContent = `no sound: ${error.message}`;
      });
    };
    if (file.readyState > 0) start(); else file.addEventListener("loadedmetadata", start, { once: true });
    root.classList.add("hk-playing");
    find(".hk-now").hidden = false;
    find("[data-swap]").hidden = !(heard.chosen && heard.beside);
    labels(playing.which, "Stop");
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(follow);
  }
  function stop() {
    if (playing) audio[playing.now].pause();
    playing = null;
    wanted = null;
    cancelAnimationFrame(frame);
    unmark();
    root.classList.remove("hk-playing");
    find(".hk-now").hidden = true;
    find("[data-swap]").hidden = true;
    labels("", "");
  }
  const other = (name) => (name === "chosen" ? "beside" : "chosen");
  function swap() {
    if (!playing || !heard[other(playing.now)]) return;
    const { currentTime } = audio[playing.now];
    playing.which = playing.which === "both" ? "both" : other(playing.now);
    playing.marked = -1;
    sounds(other(playing.now), currentTime);
  }
  function unmark() {
    for (const each of all(".sounds, .comes")) each.classList.remove("sounds", "comes");
    delete root.dataset.step;
  }
  // The chord that sounds, and a beat before it comes the next one.
  function follow() {
    if (!playing) return;
    const { times } = heard[playing.now];
    const time = audio[playing.now].currentTime;
    if (time >= times.seconds - 0.05 || audio[playing.now].ended) return stop();
    if (playing.which === "both" && takesTurns(times, time)) return;
    let step = -1;
    while (step + 1 < times.steps.length && times.steps[step + 1][0] <= time) step += 1;
    const comes = step + 1 < times.steps.length && times.steps[step + 1][1] <= time;
    const mark = `${step}${comes}`;
    if (mark !== playing.marked) {
      playing.marked = mark;
      show(step, comes, times);
    }
    frame = requestAnimationFrame(follow);
  }
  function takesTurns(times, time) {
    const end = times.turns[playing.turn + 1] ?? times.seconds - 0.1;
    if (time < end) return false;
    const start = playing.turn ? times.turns[playing.turn] : 0;
    playing.marked = -1;
    if (playing.now === "chosen") sounds("beside", start);
    else {
      playing.turn += 1;
      if (playing.turn >= times.turns.length) stop();
      else sounds("chosen", times.turns[playing.turn]);
    }
    return true;
  }
  const cellOf = (step) => find(`[data-way="${playing.now}"] [data-step="${step}"]`);
  function show(step, comes, times) {
    unmark();
    const cell = step >= 0 ? cellOf(step) : null;
    const next = cellOf(step + 1);
    root.dataset.step = String(step);
    if (cell) {
      cell.classList.add("sounds");
      const bar = cell.closest(".bar");
      bar.classList.add("sounds");
      if (step === 0 || times.steps[step][2] !== times.steps[step - 1][2]) {
        const around = region("chart");
        const [top, low] = [bar.offsetTop - around.offsetTop, bar.offsetHeight];
        if (top < around.scrollTop || top + low > around.scrollTop + around.clientHeight) around.scrollTop = top - 8;
      }
    }
    if (next && comes) next.classList.add("comes");
    const [first, second] = all(".hk-now > div");
    fill(first, cell);
    fill(second, next);
    second.classList.toggle("comes", comes);
    const name = playing.now === "beside" ? "beside: " : "";
    find(".hk-where").textContent = cell ? `${name}bar ${cell.closest(".bar").querySelector(".from").textContent}` : `${name}count-in`;
  }
  function fill(place, cell) {
    place.querySelector(".chord").textContent = cell ? cell.querySelector(".chord").textContent : "";
    const box = cell?.querySelector("svg");
    const svg = place.querySelector("svg");
    svg.style.visibility = box ? "visible" : "hidden";
    if (!box) return;
    svg.setAttribute("viewBox", box.getAttribute("viewBox"));
    svg.firstChild.setAttribute("href", box.firstElementChild.getAttribute("href"));
  }

  const listeners = [
    ...REGIONS.map((name) => [`change:${name}`, () => put(name)]),
    ["change:text", putText], ["change:status", putStatus], ["change:view", putView],
    ["change:exports", putExports], ["change:shown", settle], ["change:sounds", putSounds], ["msg:custom", took],
  ];
  for (const [name, listener] of listeners) model.on(name, listener);
  for (const name of REGIONS) put(name);
  putText();
  putStatus();
  putView();
  putExports();
  putSounds();
  const unheard = model.get("kept") ? localStorage.getItem(kept) : null;
  if (unheard !== null && unheard !== text.value) {
    text.value = unheard;
    tellText();
  }
  return () => {
    tellText();
    stop();
    for (const [name, listener] of listeners) model.off(name, listener);
    for (const which of ["chosen", "beside"]) forget(which);
  };
}

export default { render };
