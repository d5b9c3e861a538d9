"""Plucked strings and clicks as samples, and a WAV file of them.

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

from __future__ import annotations

import io
import wave
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from harmonykit.show.events import HIGH_BLOCK, Event, Performance

Samples = NDArray[np.float64]

RATE = 44_100
# One decibel below full scale.
PEAK = 10 ** (-1 / 20)
_A4, _A4_MIDI = 440.0, 69
# Seconds in which A4 falls by 60 dB; lower strings ring longer.
_DECAY, _DECAY_SLOPE = 3.2, 0.3
_DAMPING = 0.10
_PICK_POSITION = 0.23
_SOFTNESS_HZ = 2600.0
_RELEASE = 0.03
_CLICK_HZ = {True: 1760.0, False: 1320.0}


def frequency(midi: int) -> float:
    """Return the frequency of a MIDI pitch in Hz, at A4 = 440 Hz (ISO 16:1975).

    Examples
    --------
    >>> frequency(69), round(frequency(60), 3)
    (440.0, 261.626)
    """
    return float(_A4 * 2 ** ((midi - _A4_MIDI) / 12))


@lru_cache(maxsize=256)
def pluck(midi: int, rate: int = RATE) -> Samples:
    """Return one plucked string, left to ring; the array is read-only.

    Parameters
    ----------
    midi : int
    rate : int
        Samples a second.
    """
    pitch = frequency(midi)
    decay = _DECAY * (_A4 / pitch) ** _DECAY_SLOPE
    # A quarter longer than the string rings down by 60 dB: what is left then wraps round unheard.
    count = 8192 * (int(1.25 * decay * rate) // 8192 + 1)
    turn = 2 * np.pi * np.arange(count // 2 + 1) / count
    period = rate / pitch
    kept = 10 ** (-3 / (decay * pitch)) * (1 - _DAMPING * (1 - np.cos(turn)))
    loop = 1 - kept * np.exp(-1j * turn * period)
    picked = 1 - np.exp(-1j * turn * period * _PICK_POSITION)
    soft = (1 + 1j * turn * rate / (2 * np.pi * _SOFTNESS_HZ)) ** 2
    sound = np.fft.irfft(picked / (soft * loop), count)[: count * 4 // 5]
    sound /= np.abs(sound).max()
    sound.flags.writeable = False
    return sound


@lru_cache(maxsize=8)
def _click(high: bool, rate: int) -> Samples:
    time = np.arange(int(0.03 * rate)) / rate
    sound: Samples = np.sin(2 * np.pi * _CLICK_HZ[high] * time) * np.exp(-time / 0.006)
    return sound


def render(performance: Performance, rate: int = RATE) -> Samples:
    """Return a performance as samples, its peak at -1 dBFS.

    Every distinct pitch is plucked once and mixed in wherever it sounds.

    Parameters
    ----------
    performance : Performance
    rate : int
        Samples a second.

    Returns
    -------
    numpy.ndarray
        As long as the performance; all zeros where nothing sounds.
    """
    mix = np.zeros(round(performance.seconds * rate))
    for event in performance.events:
        _add(mix, event, rate)
    peak = max(mix.max(initial=0.0), -mix.min(initial=0.0))
    if peak > 0:
        mix *= PEAK / peak
    return mix


def _add(mix: Samples, event: Event, rate: int) -> None:
    start = round(event.onset * rate)
    sound = (
        pluck(event.midi, rate) if event.kind == "tone" else _click(event.midi == HIGH_BLOCK, rate)
    )
    count = min(round(event.length * rate), len(sound), len(mix) - start)
    if count <= 0:
        return
    part = mix[start : start + count]
    gain = (event.velocity / 127) ** 1.5
    release = min(int(_RELEASE * rate), count)
    part[: count - release] += gain * sound[: count - release]
    fade = np.linspace(gain, 0.0, release)
    part[count - release :] += fade * sound[count - release : count]


def wav_bytes(samples: Samples, rate: int = RATE) -> bytes:
    """Return samples as a WAV file of one channel, 16 bits."""
    buffer = io.BytesIO()
    whole = np.clip(np.rint(samples * 32767), -32768, 32767).astype("<i2")
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(whole.tobytes())
    return buffer.getvalue()


def write_wav(path: str | Path, samples: Samples, rate: int = RATE) -> Path:
    """Write samples to a WAV file of one channel, 16 bits."""
    target = Path(path)
    target.write_bytes(wav_bytes(samples, rate))
    return target
