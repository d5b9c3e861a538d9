"""A performance as samples, and a WAV file of them.

Conventions.  Samples are floats from -1 to 1 at ``rate`` a second, one channel.  Every performance
comes out equally loud, however many strings it has and however slowly it goes, and none clips
(``loudness``).
"""

from __future__ import annotations

import io
import wave
from pathlib import Path

import numpy as np

from harmonykit.errors import HarmonyError
from harmonykit.show.loudness import level
from harmonykit.show.performance import BASS, CLICK, HIGH_BLOCK, Event, Performance
from harmonykit.show.pluck import BASS as BASS_VOICE
from harmonykit.show.pluck import RATE, STRING, Samples, click, pluck

__all__ = ["MOST_SECONDS", "RATE", "Samples", "mix", "render", "wav_bytes", "write_wav"]

# Longer than any class plays without a break; what is longer would fill the memory.
MOST_SECONDS = 1800
# What is over fades out in this time.
_RELEASE = 0.03


def render(performance: Performance, rate: int = RATE) -> Samples:
    """Return a performance as samples, set to the loudness of all our files.

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
    return level(mix(performance, rate), rate)


def mix(performance: Performance, rate: int = RATE) -> Samples:
    """Return the sum of all that sounds in a performance, as loud as it happens to be.

    Every distinct pitch is plucked once and put in wherever it sounds.  In a performance that goes
    round, what rings over the end is put in at the start: many rounds in a row are one sound
    without a seam.

    Raises
    ------
    HarmonyError
        If it lasts longer than ``MOST_SECONDS``.
    """
    if performance.seconds > MOST_SECONDS:
        raise HarmonyError(
            f"{performance.seconds / 60:.0f} minutes of sound",
            rule=f"{MOST_SECONDS // 60} minutes at most",
            mend="fewer repeats, or a faster tempo",
        )
    mixed = np.zeros(round(performance.seconds * rate))
    for event in performance.events:
        start, sound = round(event.onset * rate), _sounded(event, rate)
        if performance.around:
            _put_around(mixed, start, sound)
        else:
            sound = sound[: max(len(mixed) - start, 0)]
            mixed[start : start + len(sound)] += sound
    return mixed


def _put_around(mixed: Samples, start: int, sound: Samples) -> None:
    while len(sound) and len(mixed):
        start %= len(mixed)
        part = sound[: len(mixed) - start]
        mixed[start : start + len(part)] += part
        start, sound = start + len(part), sound[len(part) :]


def _sounded(event: Event, rate: int) -> Samples:
    """Return what one event sounds like, with its end faded out."""
    count = max(round(event.length * rate), 0)
    sound: Samples = _source(event, rate)[:count] * (event.velocity / 127) ** 1.5
    release = min(int(_RELEASE * rate), len(sound))
    sound[len(sound) - release :] *= np.linspace(1.0, 0.0, release)
    return sound


def _source(event: Event, rate: int) -> Samples:
    if event.kind == CLICK:
        return click(event.midi == HIGH_BLOCK, rate)
    return pluck(event.midi, rate, BASS_VOICE if event.kind == BASS else STRING)


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
