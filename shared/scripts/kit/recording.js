// A recording of a student, made small before it is sent: one channel, 22 050 samples a second.

const RATE = 22_050;
const PIECE = 3_000_000; // a message to the kernel holds 10 MB at most
const HEAD = 44;

/**
 * Return the recording as a WAV file, whatever the browser can read; else the file as it is.
 * @param {File} file
 * @returns {Promise<ArrayBuffer>}
 */
async function asWav(file) {
  const data = await file.arrayBuffer();
  try {
    const context = new OfflineAudioContext(1, 1, RATE);
    const sound = await context.decodeAudioData(data.slice(0));
    const channels = Array.from({ length: sound.numberOfChannels }, (_, n) => sound.getChannelData(n));
    return wavOf(mixed(channels));
  } catch {
    return data;
  }
}

/**
 * Return channels as one: their mean.
 * @param {Float32Array[]} channels
 * @returns {Float32Array}
 */
export function mixed(channels) {
  const found = new Float32Array(channels[0].length);
  for (const channel of channels) channel.forEach((each, n) => (found[n] += each / channels.length));
  return found;
}

/**
 * Return samples as a WAV file of 16 bits.
 * @param {Float32Array} samples from -1 to 1
 * @returns {ArrayBuffer}
 */
export function wavOf(samples) {
  const view = new DataView(new ArrayBuffer(HEAD + 2 * samples.length));
  const text = (/** @type {number} */ at, /** @type {string} */ word) =>
    [...word].forEach((each, n) => view.setUint8(at + n, each.charCodeAt(0)));
  text(0, "RIFF");
  view.setUint32(4, HEAD - 8 + 2 * samples.length, true);
  text(8, "WAVEfmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, RATE, true);
  view.setUint32(28, 2 * RATE, true);
  view.setUint16(32, 2, true);
  view.setUint16(34, 16, true);
  text(36, "data");
  view.setUint32(40, 2 * samples.length, true);
  samples.forEach((each, n) => view.setInt16(HEAD + 2 * n, 32_767 * Math.max(-1, Math.min(1, each)), true));
  return view.buffer;
}

/**
 * Hand a recording over, in pieces that a message can hold.
 * @param {File} file
 * @param {(message: object, buffers: ArrayBuffer[]) => void} tell
 * @returns {Promise<void>}
 */
export async function tellRecording(file, tell) {
  const data = await asWav(file);
  const last = Math.max(0, Math.ceil(data.byteLength / PIECE) - 1);
  for (let piece = 0; piece <= last; piece++) {
    tell({ file: file.name, piece, last }, [data.slice(piece * PIECE, (piece + 1) * PIECE)]);
  }
}
