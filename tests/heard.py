"""The pitch of a sound, and how loud what a browser plays is, measured."""

from __future__ import annotations

import base64
import io
import math
import wave

import numpy as np
from playwright.sync_api import Locator

from harmonykit.sound.loudness import loudness
from harmonykit.sound.noise import Samples
from harmonykit.sound.pluck import RATE

# The file that an audio element plays, as the browser holds it.
FILE = """
async (audio) => {
  const bytes = new Uint8Array(await (await fetch(audio.src)).arrayBuffer());
  return btoa(Array.from(bytes, (each) => String.fromCharCode(each)).join(""));
}
"""


def measured_pitch(samples: Samples, near: float) -> float:
    """Return the frequency of the peak nearest to a pitch: FFT, Hann, parabola on the log."""
    size = 1 << 20
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size))
    low, high = (int(near * f * size / RATE) for f in (0.97, 1.03))
    peak = low + int(spectrum[low:high].argmax())
    a, b, c = np.log(spectrum[peak - 1 : peak + 2])
    return float((peak + (a - c) / (2 * (a - 2 * b + c))) * RATE / size)


def cents(one: float, other: float) -> float:
    return 1200 * math.log2(one / other)


def loudness_of_file(wav: bytes) -> float:
    """Return the loudness (ITU-R BS.1770) of a WAV file of one channel and 16 bits, in LUFS."""
    with wave.open(io.BytesIO(wav)) as file:
        assert (file.getnchannels(), file.getsampwidth()) == (1, 2)
        samples = np.frombuffer(file.readframes(file.getnframes()), "<i2") / 32768
        return loudness(samples, file.getframerate())


def loudness_played(audio: Locator) -> float:
    """Return the loudness of the WAV file that an audio element plays; of silence it is -inf."""
    return loudness_of_file(base64.b64decode(audio.evaluate(FILE)))
