// What is seen with a question: notes on the clock, shapes on the strings.  Marks are those that the
// page holds once, under the ids mark-root, mark-third ...

const SVG = "http://www.w3.org/2000/svg";
const MARK = (10 * 72) / 25.4; // how wide a mark is in the page's store
const NARROW = 2; // of more letters than these the type is smaller

/** @typedef {import("./book.js").Figure} Figure */

/**
 * Make a part of a picture.
 * @param {string} name
 * @param {Record<string, string | number>} [attributes]
 * @param {...(string | Node)} inside
 * @returns {SVGElement}
 */
export function drawn(name, attributes = {}, ...inside) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.append(...inside);
  return made;
}

/**
 * Make a picture.
 * @param {number} width
 * @param {number} height
 * @param {string} alt what it shows, for who does not see it; nothing if words beside it say so
 * @returns {SVGElement}
 */
function picture(width, height, alt) {
  const named = alt ? { role: "img", "aria-label": alt } : { "aria-hidden": "true" };
  const size = { viewBox: `0 0 ${width} ${height}`, width, height };
  return drawn("svg", { class: "drawn", ...size, ...named });
}

/**
 * Make a mark with letters.
 * @param {number} x
 * @param {number} y
 * @param {number} d how wide it is
 * @param {string} role
 * @param {string} letters
 * @returns {SVGElement}
 */
export function mark(x, y, d, role, letters) {
  const place = { transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` };
  const known = role !== "off" && role !== "none";
  const use = drawn("use", { href: `#mark-${role}`, transform: `scale(${(d / MARK).toFixed(4)})` });
  const size = d * ([...letters].length > NARROW ? 0.36 : 0.46);
  const text = drawn("text", { class: `on-${role}`, y: (size * 0.327).toFixed(2), "font-size": size });
  text.textContent = letters;
  return drawn("g", { class: "mark", ...place }, ...(known ? [use] : []), ...(letters ? [text] : []));
}

/**
 * Draw the corners that say: this is what you chose.
 * @param {number} x
 * @param {number} y
 * @param {number} half
 * @returns {SVGElement}
 */
export function brackets(x, y, half) {
  const arm = half * 0.42;
  const corner = (/** @type {number} */ a, /** @type {number} */ b) =>
    `M${x + a * half} ${y + b * (half - arm)}V${y + b * half}H${x + a * (half - arm)}`;
  const all = [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([a, b]) => corner(a, b));
  return drawn("path", { class: "brackets", d: all.join("") });
}

const CLOCK = { side: 320, middle: 160, radius: 122, d: 40 };

/**
 * Return where a note of the clock stands.
 * @param {number} pc
 * @param {number} [radius]
 * @returns {[number, number]}
 */
function hour(pc, radius = CLOCK.radius) {
  const turn = (pc * Math.PI) / 6;
  return [CLOCK.middle + radius * Math.sin(turn), CLOCK.middle - radius * Math.cos(turn)];
}

/**
 * Draw notes on the clock.
 * @param {Figure} figure
 * @param {{names?: string[], guess?: number[], alt?: string}} [more] names of all twelve notes
 * @returns {SVGElement}
 */
export function drawClock(figure, { names = [], guess = [], alt = "" } = {}) {
  const { side, middle, radius, d } = CLOCK;
  const svg = picture(side, side, alt);
  svg.append(drawn("circle", { class: "ring", cx: middle, cy: middle, r: radius }));
  for (const [from, to] of figure.moves ?? []) svg.append(arrow(hour(from), hour(to), d / 2 + 2));
  const marked = new Map((figure.clock ?? []).map(([pc, role, name]) => [pc, [role, name]]));
  for (const [pc, name] of figure.was ?? []) if (!marked.has(pc)) marked.set(pc, ["was", name]);
  for (let pc = 0; pc < 12; pc++) {
    const [role, name] = marked.get(pc) ?? ["off", names[pc] ?? ""];
    const [x, y] = hour(pc);
    if (role === "off" && !name) svg.append(drawn("circle", { class: "tick", cx: x, cy: y, r: 3.5 }));
    else if (role === "off") svg.append(drawn("circle", { class: "free", cx: x, cy: y, r: d / 2 }));
    svg.append(mark(x, y, d, role, name));
    if (guess.includes(pc)) svg.append(brackets(x, y, d / 2 + 6));
  }
  if (figure.name) {
    const text = drawn("text", { class: "heading", x: middle, y: middle + 9, "font-size": 28 });
    text.textContent = figure.name;
    svg.append(text);
  }
  return svg;
}

/**
 * Draw an arrow between two places, short of both.
 * @param {[number, number]} from
 * @param {[number, number]} to
 * @param {number} off
 * @returns {SVGElement}
 */
function arrow([ax, ay], [bx, by], off) {
  const long = Math.hypot(bx - ax, by - ay);
  const [dx, dy] = [(bx - ax) / long, (by - ay) / long];
  const [x, y, ex, ey] = [ax + dx * off, ay + dy * off, bx - dx * off, by - dy * off];
  const head = 7;
  const wing = (/** @type {number} */ side) =>
    `L${ex - head * dx - side * head * 0.6 * dy} ${ey - head * dy + side * head * 0.6 * dx}`;
  const shaft = `M${x} ${y}L${ex} ${ey}`;
  return drawn("path", { class: "arrow", d: `${shaft}M${ex} ${ey}${wing(1)}M${ex} ${ey}${wing(-1)}` });
}

/**
 * Say how far up the neck a picture begins, and how many frets it has.
 * @param {(number | null)[][]} shapes
 * @returns {{first: number, rows: number}}
 */
function reach(shapes) {
  const frets = shapes.flat().filter((fret) => fret !== null && fret !== undefined && fret > 0);
  const high = Math.max(4, ...frets.map(Number));
  const low = Math.min(...frets.map(Number));
  const first = high <= 4 ? 0 : Math.max(0, low - 1);
  return { first, rows: Math.max(4, high - first) };
}

/**
 * Draw a shape: strings from left to right, the nut on top.
 * @param {Figure} figure
 * @param {{wide?: number, letters?: boolean, alt?: string}} [more]
 * @returns {SVGElement}
 */
export function drawShape(figure, { wide = 64, letters = true, alt = "" } = {}) {
  const frets = figure.frets ?? [];
  const { first, rows } = reach([frets, figure.was ?? []]);
  const high = wide * 0.86;
  const d = wide * 0.6;
  const top = d + 8;
  const svg = picture(frets.length * wide, top + rows * high + d * 0.2, alt);
  const at = (/** @type {number} */ string, /** @type {number} */ fret) =>
    /** @type {[number, number]} */ ([
      (string + 0.5) * wide,
      fret === 0 ? top - d / 2 - 5 : top + (fret - first - 0.5) * high,
    ]);
  svg.append(grid(frets.length, { first, rows, wide, high, top }));
  (figure.was ?? []).forEach((fret, string) => {
    if (fret !== null && fret !== frets[string]) svg.append(mark(...at(string, fret), d, "was", ""));
  });
  frets.forEach((fret, string) => {
    const [role, name] = figure.marks?.[string] ?? ["none", "×"];
    if (fret === null) svg.append(mark(...at(string, 0), d, "none", "×"));
    else svg.append(mark(...at(string, fret), d, role, letters ? name : ""));
  });
  return svg;
}

/**
 * Draw strings and frets.
 * @param {number} strings
 * @param {{first: number, rows: number, wide: number, high: number, top: number}} neck
 * @returns {SVGElement}
 */
function grid(strings, { first, rows, wide, high, top }) {
  const [left, right, foot] = [wide / 2, (strings - 0.5) * wide, top + rows * high];
  const lines = [...Array(strings).keys()].map((n) => `M${left + n * wide} ${top}V${foot}`);
  const wires = [...Array(rows + 1).keys()].map((n) => `M${left} ${top + n * high}H${right}`);
  const group = drawn("g", {}, drawn("path", { class: "lines", d: [...lines, ...wires].join("") }));
  if (first === 0) {
    const nut = { class: "nut", d: `M${left} ${top}H${right}`, "stroke-width": wide * 0.1 };
    group.append(drawn("path", nut));
  } else {
    const size = Math.max(11, wide * 0.24);
    const place = { class: "fret", x: left - wide * 0.14, y: top + high * 0.5 + size * 0.35 };
    const text = drawn("text", { ...place, "font-size": size });
    text.textContent = String(first + 1);
    group.append(text);
  }
  return group;
}

/**
 * Draw a figure of any kind.
 * @param {Figure} figure
 * @param {{wide?: number, alt?: string, guess?: number[]}} [more]
 * @returns {SVGElement}
 */
export function draw(figure, { wide, alt, guess } = {}) {
  return figure.frets ? drawShape(figure, { wide, alt }) : drawClock(figure, { alt, guess });
}
