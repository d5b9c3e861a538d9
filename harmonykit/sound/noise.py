"""Noise that is the same each time, and what small percussion makes of it.

Conventions.  Samples are floats at ``rate`` a second, one channel.  A seed is a whole number; the
row of a seed is the same here and in a page's script.

References
----------
W. H. Press et al., *Numerical Recipes in C* (Cambridge 1992), 7.1: the row of numbers ("an even
quicker generator").  R. Bristow-Johnson, "Cookbook formulae for audio equalizer biquad filter
coefficients": a band of constant height (from memory).
"""

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.sound.strung import drum

Samples = NDArray[np.floating[Any]]

_TIMES, _PLUS, _WORD = 1664525, 1013904223, 1 << 32
_STARTED = 8
_DRUM_FALLS = 7


def white(count: int, seed: int) -> Samples:
    """Return white noise from -1 to 1.

    Examples
    --------
    >>> [round(float(one), 3) for one in white(3, 1)]
    [-0.967, 0.278, -0.499]
    """
    state, found = seed, np.empty(count)
    for index in range(-_STARTED, count):
        state = (state * _TIMES + _PLUS) % _WORD
        if index >= 0:
            found[index] = state
    return found / (_WORD / 2) - 1


def band(sound: Samples, hz: float, width: float, rate: int) -> Samples:
    """Return what lies in a band of some width around a frequency."""
    turn = 2 * math.pi * min(hz, 0.45 * rate) / rate
    alpha = math.sin(turn) * min(width / hz, 2.0) / 2
    back1, back2 = -2 * math.cos(turn) / (1 + alpha), (1 - alpha) / (1 + alpha)
    ahead = alpha / (1 + alpha)
    found = np.empty(len(sound))
    x1 = x2 = y1 = y2 = 0.0
    for index, x in enumerate(sound.tolist()):
        y = ahead * (x - x2) - back1 * y1 - back2 * y2
        x2, x1, y2, y1 = x1, x, y1, y
        found[index] = y
    return found


@lru_cache(maxsize=16)
def beat(midi: int, rate: int) -> Samples:
    """Return one stroke of small percussion by its number in General MIDI; it is read-only."""
    made = drum(midi)
    hz, width, rise, fall, size = made.noise
    longest = max([fall + rise, *(tone[1] for tone in made.tones)])
    time = np.arange(int(_DRUM_FALLS * longest * rate)) / rate
    grown = 1 - np.exp(-time / rise) if rise else 1.0
    found = size * band(white(len(time), midi), hz, width, rate) * grown * np.exp(-time / fall)
    for tone_hz, tone_fall, tone_size in made.tones:
        found += tone_size * np.sin(2 * np.pi * tone_hz * time) * np.exp(-time / tone_fall)
    sound: Samples = (found * made.level).astype(np.float32)
    sound.flags.writeable = False
    return sound
