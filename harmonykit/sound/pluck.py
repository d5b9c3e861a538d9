"""One plucked string, and one click, as samples.

Conventions.  Samples are floats from -1 to 1 at ``rate`` a second, one channel.  A string is a loop
as long as one period, through which a pluck runs again and again and loses a little each time, the
high parts more (Karplus and Strong 1983).  The loop is worked out in the frequency domain: there
its delay need not be a whole number of samples, so every pitch is exact.

References
----------
K. Karplus and A. Strong, "Digital Synthesis of Plucked-String and Drum Timbres", Computer Music
Journal 7/2 (1983) 43-55.  D. Jaffe and J. O. Smith, "Extensions of the Karplus-Strong
Plucked-String Algorithm", ibid. 56-69: decay, pick position, fractional delay.
"""

from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]

RATE = 44_100
_A4, _A4_MIDI = 440.0, 69
# Lower strings ring longer, by this power of the frequency.
_DECAY_SLOPE = 0.3
_DAMPING = 0.10
_CLICK_SECONDS, _CLICK_DECAY = 0.03, 0.006
_CLICK_HZ = {True: 1760.0, False: 1320.0}


@dataclass(frozen=True, slots=True)
class Voice:
    """How a string is plucked.

    Parameters
    ----------
    softness_hz : float
        Above this the pluck grows weaker: the softer the finger, the lower.
    place : float
        Where it is plucked, as a part of its length.
    decay : float
        Seconds in which A4 falls by 60 dB.
    """

    softness_hz: float = 2600.0
    place: float = 0.23
    decay: float = 3.2


STRING = Voice()
# A thumb in the middle of a long string.
BASS = Voice(softness_hz=400.0, place=0.35)


def frequency(midi: int) -> float:
    """Return the frequency of a MIDI pitch in Hz, at A4 = 440 Hz (ISO 16:1975).

    Examples
    --------
    >>> frequency(69), round(frequency(60), 3)
    (440.0, 261.626)
    """
    return float(_A4 * 2 ** ((midi - _A4_MIDI) / 12))


# At most 2.3 MB each, and no instrument has more pitches.
@lru_cache(maxsize=64)
def pluck(midi: int, rate: int = RATE, voice: Voice = STRING) -> Samples:
    """Return one plucked string, left to ring; the array is read-only.

    Parameters
    ----------
    midi : int
    rate : int
        Samples a second.
    voice : Voice
        How it is plucked.
    """
    pitch = frequency(midi)
    decay = voice.decay * (_A4 / pitch) ** _DECAY_SLOPE
    # A quarter longer than the string rings down by 60 dB: what is left then wraps round unheard.
    count = 8192 * (int(1.25 * decay * rate) // 8192 + 1)
    turn = 2 * np.pi * np.arange(count // 2 + 1) / count
    period = rate / pitch
    kept = 10 ** (-3 / (decay * pitch)) * (1 - _DAMPING * (1 - np.cos(turn)))
    loop = 1 - kept * np.exp(-1j * turn * period)
    picked = 1 - np.exp(-1j * turn * period * voice.place)
    soft = (1 + 1j * turn * rate / (2 * np.pi * voice.softness_hz)) ** 2
    sound = np.fft.irfft(picked / (soft * loop), count)[: count * 4 // 5].copy()
    sound /= np.abs(sound).max()
    sound.flags.writeable = False
    return sound


@lru_cache(maxsize=8)
def click(*, high: bool, rate: int = RATE) -> Samples:
    """Return one click, high or low; the array is read-only."""
    time = np.arange(int(_CLICK_SECONDS * rate)) / rate
    sound: Samples = np.sin(2 * np.pi * _CLICK_HZ[high] * time) * np.exp(-time / _CLICK_DECAY)
    sound.flags.writeable = False
    return sound


def numbers() -> dict[str, Any]:
    """Return all that strings and clicks are made of, for a script that sounds them by itself.

    Returns
    -------
    dict
        ``voices`` by the kind of event and ``clicks`` by name, each as numbers by name.

    Examples
    --------
    >>> numbers()["voices"]["tone"]["softness_hz"], numbers()["clicks"]["high"]["hz"]
    (2600.0, 1760.0)
    """
    ring = {"decay_slope": _DECAY_SLOPE, "damping": _DAMPING, "a4_hz": _A4}
    fall = {"seconds": _CLICK_SECONDS, "decay": _CLICK_DECAY}
    return {
        "voices": {
            kind: {**asdict(voice), **ring} for kind, voice in (("tone", STRING), ("bass", BASS))
        },
        "clicks": {
            name: {**fall, "hz": _CLICK_HZ[high]} for name, high in (("high", True), ("low", False))
        },
    }
