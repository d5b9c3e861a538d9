// Plays a level: the events that stand in the page, as plucked strings and clicks; shows the bar
// and the chord that sound, and a beat ahead the chord that comes.

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

  // The moment that is heard now.
  get now() {
    return this.context.currentTime - (this.context.outputLatency || 0);
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
  const context = await sound.wake();
  silence();
  let when = context.currentTime + 0.05;
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

class Player {
  constructor(root) {
    this.root = root;
    Object.assign(this, music.levels[root.dataset.level]);
    this.starts = this.steps.map(([start]) => start);
    this.readies = this.steps.map(([, ready]) => ready);
    this.clicks = this.events.filter(([, , , , kind]) => kind === "click");
    this.clickTimes = this.clicks.map(([onset]) => onset);
    this.bar = root.querySelectorAll(".bar");
    this.cell = root.querySelectorAll(".cell");
    this.button = root.querySelector(".play");
    this.count = root.querySelector(".count");
    this.now = root.querySelector(".now");
    this.next = root.querySelector(".next");
    this.rate = 1;
    this.from = 0;
    this.since = null;
    this.shown = {};
    this.button.addEventListener("click", () => this.toggle());
    for (const choice of root.querySelectorAll("input[type=radio]")) {
      choice.addEventListener("change", () => this.setRate(Number(choice.value)));
    }
    for (const from of root.querySelectorAll(".from")) {
      from.addEventListener("click", () => this.start(this.bars[from.dataset.bar]));
    }
    root.querySelector(".player").hidden = false;
  }

  toggle() {
    if (playing === this) this.stop();
    else this.start(0);
  }

  setRate(rate) {
    const place = Math.max(this.place, this.from);
    this.rate = rate;
    if (playing === this) this.start(place);
  }

  // Seconds from the first click, at the tempo of the list.
  get place() {
    return this.since === null ? this.from : this.from + (sound.now - this.since) * this.rate;
  }

  async start(from) {
    playing?.stop();
    silence();
    playing = this;
    this.from = from;
    this.since = null;
    await sound.wake();
    if (playing !== this) return;
    this.since = sound.context.currentTime + 0.12;
    this.sources = new Set();
    this.coming = this.events.findIndex(([onset]) => onset >= from - 1e-4);
    this.root.classList.add("playing");
    this.say("Stop");
    this.timer = setInterval(() => this.feed(), 60);
    this.feed();
    this.draw();
  }

  stop() {
    clearInterval(this.timer);
    cancelAnimationFrame(this.frame);
    this.sources?.forEach((source) => source.stop());
    this.root.classList.remove("playing");
    this.say("Play");
    this.show(-1, -1, -1);
    this.since = null;
    playing = null;
  }

  say(word) {
    this.button.querySelector("span").textContent = word;
  }

  // Hand on what sounds soon.
  feed() {
    const context = sound.context;
    const soon = context.currentTime + (document.hidden ? SOON_UNSEEN : SOON);
    while (this.coming >= 0 && this.coming < this.events.length) {
      const [onset, length, midi, , kind, velocity] = this.events[this.coming];
      const when = this.since + (onset - this.from) / this.rate;
      if (when > soon) break;
      const source = sound.play(kind, midi, velocity, when, length / this.rate);
      this.sources.add(source);
      source.addEventListener("ended", () => this.sources.delete(source));
      this.coming += 1;
    }
    if (this.place > this.seconds) this.stop();
  }

  draw() {
    if (playing !== this) return;
    const place = Math.max(this.place, this.from);
    const step = lastAt(this.starts, place);
    const next = lastAt(this.readies, place);
    this.show(step < 0 ? -1 : this.steps[step][2], step, next > step || step < 0 ? next : -1);
    this.beat(place);
    this.frame = requestAnimationFrame(() => this.draw());
  }

  // The number of the beat, counted from the last high click.
  beat(place) {
    const last = lastAt(this.clickTimes, place + 0.01);
    let first = last;
    while (first > 0 && this.clicks[first][2] !== 76) first -= 1;
    const text = last < 0 ? "" : String(last - first + 1);
    if (this.count.textContent !== text) this.count.textContent = text;
  }

  show(bar, step, next) {
    const was = this.shown;
    if (was.bar === bar && was.step === step && was.next === next) return;
    this.shown = { bar, step, next };
    if (was.bar !== bar) this.follow(was.bar, bar);
    mark(this.cell, was.step, step, "sounds");
    mark(this.cell, was.next, next, "comes");
    this.fill(this.now, step);
    this.fill(this.next, Math.min(step + 1, this.steps.length - 1) > step ? step + 1 : -1);
    this.next.classList.toggle("comes", next >= 0);
  }

  // Keep the bar that sounds in view, unless the reader has gone elsewhere.
  follow(old, bar) {
    mark(this.bar, old, bar, "sounds");
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

if (window.AudioContext) {
  for (const root of document.querySelectorAll(".level")) new Player(root);
  document.documentElement.classList.add("alive");
}
