// Plays a level, or some bars of it round and round: the events that stand in the page, as plucked
// strings and clicks; shows the bar and the chord that sound, and a beat ahead those that come.

const SOON = 0.7; // seconds of events handed to the sound card ahead of time
const SOON_UNSEEN = 2.5; // a page that is not seen is woken once a second
const RELEASE = 0.03;
const SPREAD = 0.025; // from the first string of a strum to the last
const LOUDNESS = 0.45;

const music = JSON.parse(document.getElementById("music").textContent);
const still = matchMedia("(prefers-reduced-motion: reduce)");

// Sound: one context for the page, made when first something is to be heard.
const sound = {
  context: null,
  out: null,
  buffers: new Map(),

  async wake() {
    if (!this.context) {
      this.context = new AudioContext();
      this.out = new GainNode(this.context, { gain: LOUDNESS });
      const limit = new DynamicsCompressorNode(this.context, { threshold: -6, ratio: 12 });
      this.out.connect(limit).connect(this.context.destination);
    }
    if (this.context.state !== "running") await this.context.resume();
    return this.context;
  },

  // The clock of the sound card, and how late it is heard: all that is timed is timed by these two.
  // A test puts a clock of its own in their place.
  clock() {
    return { time: this.context.currentTime, late: this.context.outputLatency || 0 };
  },

  get time() {
    return this.clock().time;
  },

  // The moment that is heard now.
  get now() {
    const { time, late } = this.clock();
    return time - late;
  },

  buffer(kind, midi) {
    const name = `${kind} ${midi}`;
    if (!this.buffers.has(name)) {
      const rate = this.context.sampleRate;
      const samples = kind === "click" ? click(midi === 76, rate) : pluck(midi, rate, 3);
      const buffer = new AudioBuffer({ length: samples.length, sampleRate: rate });
      buffer.copyToChannel(samples, 0);
      this.buffers.set(name, buffer);
    }
    return this.buffers.get(name);
  },

  // Sound one tone or click; what is over its time fades out.
  play(kind, midi, velocity, when, seconds) {
    const source = new AudioBufferSourceNode(this.context, { buffer: this.buffer(kind, midi) });
    const loud = (velocity / 127) ** 1.5;
    const gain = new GainNode(this.context, { gain: loud });
    const end = when + seconds;
    gain.gain.setValueAtTime(loud, Math.max(when, end - RELEASE));
    gain.gain.linearRampToValueAtTime(0, end);
    source.connect(gain).connect(this.out);
    source.start(Math.max(when, 0));
    source.stop(end);
    return source;
  },
};

// One shape after another, such as "2-3-2-3 2-2-2-3", each strummed once.
let strummed = [];
async function strum(shapes) {
  playing?.stop();
  await sound.wake();
  silence();
  let when = sound.time + 0.05;
  for (const digits of shapes.split(" ")) {
    const tones = digits
      .split("-")
      .map((fret, string) => (fret === "x" ? null : music.strings[string] + Number(fret)))
      .filter((midi) => midi !== null);
    const long = shapes.includes(" ") ? 1.1 : 2.4;
    tones.forEach((midi, place) => {
      const late = (place * SPREAD) / Math.max(tones.length - 1, 1);
      strummed.push(sound.play("tone", midi, 90, when + late, long - late));
    });
    when += long;
  }
}

function silence() {
  strummed.forEach((source) => source.stop());
  strummed = [];
}

// The last place in a sorted list that is not after a time; -1 before the first.
function lastAt(times, time) {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] <= time) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

let playing = null;

// A level is played in stretches {from, to, at}: from one place of its list to another, `at` on the
// clock of the sound card.  The whole tune is one; a loop has one for each round, and before them the
// clicks that count it in.
class Player {
  constructor(root) {
    this.root = root;
    Object.assign(this, music.levels[root.dataset.level]);
    this.starts = this.steps.map(([start]) => start);
    this.clicks = this.events.filter(([, , , , kind]) => kind === "click");
    this.clickTimes = this.clicks.map(([onset]) => onset);
    this.bar = root.querySelectorAll(".bar");
    this.cell = root.querySelectorAll(".cell");
    this.button = root.querySelector(".play");
    this.count = root.querySelector(".count");
    this.now = root.querySelector(".now");
    this.next = root.querySelector(".next");
    this.rate = 1;
    this.span = null; // the first and the last bar of the loop
    this.stretches = [];
    this.sources = new Map(); // what is handed to the sound card, and when it begins
    this.shown = {};
    this.listen();
  }

  listen() {
    this.button.addEventListener("click", () => this.toggle());
    for (const choice of this.root.querySelectorAll("input[type=radio]")) {
      choice.addEventListener("change", () => this.setRate(Number(choice.value)));
    }
    for (const from of this.root.querySelectorAll(".from")) {
      from.addEventListener("click", () => this.playFrom(Number(from.dataset.bar)));
    }
    this.silent = new Set();
    for (const part of this.root.querySelectorAll("input[type=checkbox]")) {
      if (!part.checked) this.silent.add(part.value);
      part.addEventListener("change", () => this.setPart(part.value, part.checked));
    }
    this.choice = this.root.querySelector(".loop");
    this.ends = ["first", "last"].map((name) => this.root.querySelector(`select.${name}`));
    this.choice.addEventListener("change", () => this.choose(this.choice.value));
    for (const end of this.ends) end.addEventListener("change", () => this.chooseBars(end));
    this.root.addEventListener("keydown", (event) => this.press(event));
    this.root.querySelector(".player").hidden = false;
  }

  toggle() {
    if (playing === this) this.stop();
    else if (this.span) this.start({ from: this.clickTimes[0], to: this.countIn, counts: true });
    else this.start({ from: 0, to: this.seconds });
  }

  playFrom(bar) {
    if (this.span && (bar < this.span[0] || bar > this.span[1])) this.setSpan(null);
    this.start({ from: this.bars[bar], to: this.until });
  }

  setRate(rate) {
    const from = this.place;
    const counts = this.stretch?.counts;
    this.rate = rate;
    if (playing === this) this.start({ from, to: counts ? this.countIn : this.until, counts });
  }

  // Let a part be heard or not: the click, the bass, the melody.
  setPart(part, heard) {
    if (heard) this.silent.delete(part);
    else this.silent.add(part);
    if (playing === this && this.stretch && !this.stretch.counts) this.goOn();
  }

  // Where a loop begins and ends in the list; without one, all of it.
  get since() {
    return this.span ? this.bars[this.span[0]] : 0;
  }

  get until() {
    return this.span ? (this.bars[this.span[1] + 1] ?? this.end) : this.seconds;
  }

  // What was chosen: nothing, two bars such as "8-15", or bars of one's own.
  choose(value) {
    if (value === "own") this.setSpan(this.ends.map((end) => Number(end.value)));
    else this.setSpan(value ? value.split("-").map(Number) : null);
  }

  chooseBars(changed) {
    this.setSpan(order(this.ends.map((end) => Number(end.value)), this.ends.indexOf(changed)));
  }

  // A and B set the ends of the loop at the bar that has the focus, else at the one that sounds.
  press(event) {
    const end = { a: 0, b: 1 }[event.key.toLowerCase()];
    if (end === undefined || event.target.matches("select")) return;
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const focused = [...this.bar].indexOf(event.target.closest(".bar"));
    const bar = focused >= 0 ? focused : this.shown.bar;
    if (!(bar >= 0)) return;
    const span = this.span ? [...this.span] : [bar, this.bar.length - 1];
    if (!this.span && end === 1) span[0] = Math.min(Number(this.ends[0].value), bar);
    span[end] = bar;
    this.setSpan(order(span, end));
  }

  setSpan(span) {
    this.span = span;
    this.showSpan();
    if (playing !== this || !this.stretch) return;
    if (this.stretch.counts) {
      if (!span) this.start({ from: 0, to: this.seconds });
    } else if (span && (this.place < this.since || this.place >= this.until)) {
      this.start({ from: this.since, to: this.until });
    } else this.goOn();
  }

  showSpan() {
    const [first, last] = this.span ?? [-1, -1];
    this.bar.forEach((bar, index) => {
      bar.classList.toggle("looped", first <= index && index <= last);
      bar.classList.toggle("first-looped", index === first);
      bar.classList.toggle("last-looped", index === last);
    });
    this.root.querySelector(".range").hidden = !this.span;
    if (this.span) this.ends.forEach((end, index) => (end.value = this.span[index]));
    const known = [...this.choice.options].map(({ value }) => value);
    const value = this.span ? this.span.join("-") : "";
    this.choice.value = known.includes(value) ? value : "own";
    const [a, b] = this.ends.map((end) => end.selectedOptions[0].textContent);
    const bars = a === b ? `Bar ${a}` : `Bars ${a} to ${b}`;
    this.root.querySelector(".round").textContent = this.span ? `${bars}, round and round` : "";
  }

  // The stretch that is heard now.
  get stretch() {
    const now = sound.context ? sound.now : 0;
    return this.stretches.filter(({ at }) => at <= now).pop() ?? this.stretches[0];
  }

  // Seconds from the first click, at the tempo of the list.
  get place() {
    const stretch = this.stretch;
    if (!stretch) return 0;
    const { from, to, at } = stretch;
    return Math.min(from + Math.max(sound.now - at, 0) * this.rate, to);
  }

  async start(stretch) {
    playing?.stop();
    silence();
    playing = this;
    await sound.wake();
    if (playing !== this) return;
    this.go(stretch, sound.time + 0.12);
    this.root.classList.add("playing");
    this.say("Stop");
    this.timer = setInterval(() => this.feed(), 60);
    this.feed();
    this.draw();
  }

  // Play a stretch from a moment on.
  go(stretch, at) {
    this.stretches = [...this.stretches.slice(-2), { ...stretch, at }];
    this.seek(stretch.from);
  }

  seek(place) {
    const found = this.events.findIndex(([onset]) => onset >= place - 1e-4);
    this.coming = found < 0 ? this.events.length : found;
  }

  // Take back what has not begun to sound, and go on with the loop as it is now.
  goOn() {
    const now = sound.time;
    for (const [source, when] of this.sources) if (when > now) source.stop();
    this.stretches = this.stretches.filter(({ at }, index) => at <= now || index === 0);
    const stretch = this.stretches.at(-1);
    stretch.to = this.until;
    this.seek(stretch.from + Math.max(now - stretch.at, 0) * this.rate);
    this.feed();
  }

  stop() {
    clearInterval(this.timer);
    cancelAnimationFrame(this.frame);
    for (const source of this.sources.keys()) source.stop();
    this.sources.clear();
    this.root.classList.remove("playing");
    this.say("Play");
    this.show(-1, -1, -1, false);
    this.stretches = [];
    playing = null;
  }

  say(word) {
    this.button.querySelector("span").textContent = word;
  }

  // Hand on what sounds soon.
  feed() {
    const soon = sound.time + (document.hidden ? SOON_UNSEEN : SOON);
    for (;;) {
      const stretch = this.stretches.at(-1);
      const onset = this.events[this.coming]?.[0] ?? Infinity;
      const over = onset > stretch.to - 1e-4;
      if (over && !this.span) break;
      const when = stretch.at + ((over ? stretch.to : onset) - stretch.from) / this.rate;
      if (when > soon) break;
      if (over) this.go({ from: this.since, to: this.until }, when);
      else this.hand(this.events[this.coming++], stretch, when);
    }
    if (!this.span && this.place >= this.seconds) this.stop();
  }

  // What rings over the end of a round is over where the next begins.
  hand([onset, length, midi, string, kind, velocity], { to, counts }, when) {
    const counted = kind === "click" && onset < this.countIn - 1e-4;
    const part = kind === "tone" && string === null ? "melody" : kind;
    if (counts ? !counted : this.silent.has(part) && !counted) return;
    const seconds = Math.min(length, to - onset) / this.rate;
    const source = sound.play(kind, midi, velocity, when, seconds);
    this.sources.set(source, when);
    source.addEventListener("ended", () => this.sources.delete(source));
  }

  draw() {
    if (playing !== this) return;
    this.look();
    this.frame = requestAnimationFrame(() => this.draw());
  }

  // Show what is heard now.
  look() {
    const place = this.place;
    const step = this.stretch.counts ? -1 : lastAt(this.starts, place);
    const [next, ready] = this.after(step);
    this.show(step < 0 ? -1 : this.steps[step][2], step, next, place >= ready);
    this.beat(place);
  }

  // The step that comes after one, and from where on it is shown; a loop's last leads to its first.
  after(step) {
    const { to, counts } = this.stretch;
    const onward = this.steps[step + 1];
    if (this.span && (counts || !onward || onward[0] > to - 1e-4)) {
      const first = this.steps.findIndex(([, , bar]) => bar === this.span[0]);
      return [first, to - (this.steps[first][0] - this.steps[first][1])];
    }
    return onward ? [step + 1, onward[1]] : [-1, Infinity];
  }

  // The number of the beat, counted from the last high click.
  beat(place) {
    const last = lastAt(this.clickTimes, place + 0.01);
    let first = last;
    while (first > 0 && this.clicks[first][2] !== 76) first -= 1;
    const text = last < 0 ? "" : String(last - first + 1);
    if (this.count.textContent !== text) this.count.textContent = text;
  }

  show(bar, step, next, comes) {
    const was = this.shown;
    if (was.bar === bar && was.step === step && was.next === next && was.comes === comes) return;
    const ahead = comes ? next : -1;
    const barAhead = comes ? this.steps[next][2] : -1;
    this.shown = { bar, step, next, comes, ahead, barAhead };
    mark(this.bar, was.bar, bar, "sounds");
    mark(this.bar, was.barAhead, barAhead === bar ? -1 : barAhead, "comes");
    mark(this.cell, was.step, step, "sounds");
    mark(this.cell, was.ahead, ahead, "comes");
    this.follow(was.bar, comes ? barAhead : bar);
    this.fill(this.now, step);
    this.fill(this.next, next);
    this.next.classList.toggle("comes", comes);
  }

  // Keep the bar that comes in view, unless the reader has gone elsewhere.
  follow(old, bar) {
    const item = this.bar[bar]?.getBoundingClientRect();
    const before = this.bar[old]?.getBoundingClientRect();
    if (!item || (before && (before.bottom < 0 || before.top > innerHeight))) return;
    const covered = this.button.parentElement.getBoundingClientRect().bottom;
    if (item.top < covered || item.bottom > innerHeight) {
      this.bar[bar].scrollIntoView({
        block: "center",
        behavior: still.matches ? "auto" : "smooth",
      });
    }
  }

  // Show a chord and its shape large.
  fill(place, step) {
    const cell = this.cell[step];
    const box = cell?.querySelector(".box");
    place.querySelector(".chord").textContent = cell?.querySelector(".chord").textContent ?? "";
    const svg = place.querySelector(".box");
    svg.classList.toggle("empty", !box);
    if (!box) return;
    svg.setAttribute("viewBox", box.getAttribute("viewBox"));
    svg.firstElementChild.setAttribute("href", box.firstElementChild.getAttribute("href"));
  }
}

// Two bars of which the one at `kept` was set last: the other goes along rather than be passed.
function order(bars, kept) {
  return bars[0] > bars[1] ? [bars[kept], bars[kept]] : bars;
}

function mark(items, old, now, name) {
  items[old]?.classList.remove(name);
  items[now]?.classList.add(name);
}

// A click on a shape strums it, a click on one note of a figure plucks that.
document.addEventListener("click", ({ target }) => {
  const part = target.closest("[data-part^=string-]");
  if (part && part.closest(".wide")) {
    const [, string, , fret] = part.dataset.part.split("-");
    const shape = music.strings.map((_, index) => (index === string - 1 ? fret : "x"));
    strum(shape.join("-"));
    return;
  }
  const heard = target.closest("[data-frets]");
  if (heard) strum(heard.dataset.frets);
  const box = target.closest(".cell .box");
  if (box) strum(box.parentElement.querySelector(".hear").dataset.frets);
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && playing) playing.stop();
});

// In a chart one button is reached by the Tab key, the others by the arrow keys.
for (const chart of document.querySelectorAll(".chart")) {
  const buttons = [...chart.querySelectorAll("button")];
  chart.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const place = buttons.indexOf(document.activeElement);
    const next = buttons[place + step];
    if (place < 0 || !next) return;
    event.preventDefault();
    buttons[place].tabIndex = -1;
    next.tabIndex = 0;
    next.focus();
  });
}

// What scrolls sideways can be reached by the keyboard, and only that.
const frames = document.querySelectorAll(".scroll, .wide .frame");
const reach = new ResizeObserver(() => {
  for (const frame of frames) {
    if (frame.scrollWidth > frame.clientWidth + 1) frame.tabIndex = 0;
    else frame.removeAttribute("tabindex");
  }
});
frames.forEach((frame) => reach.observe(frame));

const players = [];
if (window.AudioContext) {
  for (const root of document.querySelectorAll(".level")) players.push(new Player(root));
  const hint = document.querySelector(".hint"); // once is enough
  if (hint) hint.hidden = false;
  document.documentElement.classList.add("alive");
}
