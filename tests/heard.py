"""The pitch of a sound, measured."""

from __future__ import annotations

import math

import numpy as np

from harmonykit.sound.pluck import RATE, Samples


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
