// A plucked string and a click as samples, by the method of harmonykit/sound/pluck.py: a loop one
// period long through which the pluck runs again and again and loses a little each time, the high
// parts more (Karplus and Strong 1983; Jaffe and Smith 1983, Computer Music Journal 7/2).

const DECAY = 3.2; // seconds in which A4 falls by 60 dB; lower strings ring longer
const DECAY_SLOPE = 0.3;
const DAMPING = 0.1;
const PICK_POSITION = 0.23;
const SOFTNESS_HZ = 2600;

function frequency(midi) {
  return 440 * 2 ** ((midi - 69) / 12);
}

// The four weights of a cubic through neighbouring samples: a delay of 1 + part samples.
function between(part) {
  const d = 1 + part;
  return [
    (-(d - 1) * (d - 2) * (d - 3)) / 6,
    (d * (d - 2) * (d - 3)) / 2,
    (-d * (d - 1) * (d - 3)) / 2,
    (d * (d - 1) * (d - 2)) / 6,
  ];
}

function pluck(midi, rate, seconds) {
  const pitch = frequency(midi);
  const period = rate / pitch;
  const decay = DECAY * (440 / pitch) ** DECAY_SLOPE;
  const kept = 10 ** (-3 / (decay * pitch));
  const damp = [(kept * DAMPING) / 2, kept * (1 - DAMPING), (kept * DAMPING) / 2];

  // The damping delays by one sample and the cubic by 1 + part: the rest is whole.
  const whole = Math.floor(period - 2);
  const cubic = between(period - 2 - whole);
  const loop = new Float64Array(6);
  damp.forEach((a, i) => cubic.forEach((b, j) => (loop[i + j] += a * b)));

  const sound = new Float64Array(Math.ceil(seconds * rate));
  excite(sound, period * PICK_POSITION, rate);
  const [a, b, c, d, e, f] = loop;
  // Before the first sample there is silence, which an index below nought would not give.
  const rest = whole + 5;
  const padded = new Float64Array(rest + sound.length);
  for (let n = 0, at = rest, from = 5; n < sound.length; n++, at++, from++) {
    padded[at] =
      sound[n] +
      a * padded[from] +
      b * padded[from - 1] +
      c * padded[from - 2] +
      d * padded[from - 3] +
      e * padded[from - 4] +
      f * padded[from - 5];
  }
  return levelled(padded.subarray(rest));
}

// The finger: a push, and its answer from where the string is picked, both softened.
function excite(sound, later, rate) {
  const whole = Math.floor(later);
  sound[0] += 1;
  sound[whole] -= 1 - (later - whole);
  sound[whole + 1] -= later - whole;
  const keep = Math.exp((-2 * Math.PI * SOFTNESS_HZ) / rate);
  for (let pass = 0; pass < 2; pass++) {
    let last = 0;
    for (let n = 0; n < sound.length && n < 4096; n++) {
      last = (1 - keep) * sound[n] + keep * last;
      sound[n] = last;
    }
  }
}

function click(high, rate) {
  const sound = new Float64Array(Math.ceil(0.03 * rate));
  const turn = (2 * Math.PI * (high ? 1760 : 1320)) / rate;
  for (let n = 0; n < sound.length; n++) {
    sound[n] = Math.sin(turn * n) * Math.exp(-n / rate / 0.006);
  }
  return levelled(sound);
}

function levelled(sound) {
  let most = 0;
  for (const value of sound) most = Math.max(most, Math.abs(value));
  return Float32Array.from(sound, (value) => value / (most || 1));
}
