"""A performance as sound, in blocks, and a WAV file of it.

Conventions.  Samples are floats from -1 to 1 at ``rate`` a second, one channel.  Every performance
comes out equally loud, however many strings it has and however slowly it goes, and none clips
(``loudness``).  A block is some seconds long: a sound takes the same memory however long it is.
"""

from __future__ import annotations

import io
import wave
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import BinaryIO, Protocol, runtime_checkable

import numpy as np

from harmonykit.errors import HarmonyError, need_path, wrong_kind
from harmonykit.sound.loudness import find_gain, leveled
from harmonykit.sound.performance import BASS, CLICK, HIGH_BLOCK, Event, Performance
from harmonykit.sound.pluck import BASS as BASS_VOICE
from harmonykit.sound.pluck import RATE, STRING, Samples, click, pluck

__all__ = [
    "MOST_SECONDS", "RATE", "Samples", "Sound", "check_length", "mix", "render", "wav_bytes",
    "write_wav",
]  # fmt: skip

# Longer than any class plays without a break.
MOST_SECONDS = 1800
# What is over fades out in this time.
_RELEASE = 0.03
_BLOCK = 1 << 17
# A sound that is no larger is mixed once and kept while its loudness is found, 3 min of it.
_KEPT_BYTES = 64_000_000


def check_length(seconds: float, what: str = "sound") -> None:
    """Refuse what is longer than ``MOST_SECONDS``.

    Raises
    ------
    HarmonyError
        With what would make it shorter.
    """
    if seconds > MOST_SECONDS:
        raise HarmonyError(
            f"{seconds / 60:.0f} minutes of {what}",
            rule=f"{MOST_SECONDS // 60} minutes at most",
            mend="fewer repeats, or a faster tempo",
        )


@runtime_checkable
class HasWav(Protocol):
    """A sound that is a WAV file already."""

    @property
    def wav(self) -> bytes:
        """The whole file."""


class Sound:
    """A performance as sound, set to the loudness of all our files; iterating gives its blocks.

    Parameters
    ----------
    performance : Performance
    rate : int
        Samples a second.

    Raises
    ------
    HarmonyError
        If it lasts longer than ``MOST_SECONDS``.
    """

    def __init__(self, performance: Performance, rate: int = RATE) -> None:
        check_length(performance.seconds)
        self.performance, self.rate = performance, rate
        kept = list(_mixed(performance, rate)) if len(self) * 8 <= _KEPT_BYTES else None
        self._kept = kept
        self._gain = find_gain(self._blocks, rate)

    def __len__(self) -> int:
        return round(self.performance.seconds * self.rate)

    def __iter__(self) -> Iterator[Samples]:
        for block in self._blocks():
            yield leveled(block, self._gain)

    def _blocks(self) -> Iterable[Samples]:
        return _mixed(self.performance, self.rate) if self._kept is None else self._kept

    def write_wav(self, file: BinaryIO) -> None:
        """Write it to an open file as WAV, one channel, 16 bits.

        Parameters
        ----------
        file : BinaryIO

        Examples
        --------
        >>> from io import BytesIO
        >>> strings = hk.sound.play_strings(hk.Instrument.named("ukulele"), times=1)
        >>> hk.sound.Sound(strings, rate=8000).write_wav(file := BytesIO())
        >>> file.getvalue()[:4]
        b'RIFF'
        """
        _write_wav(file, self, len(self), self.rate)


def render(performance: Performance, rate: int = RATE) -> Samples:
    """Return a performance as samples, set to the loudness of all our files.

    All of it is in the memory, 21 MB a minute; ``Sound`` gives it in blocks.

    Parameters
    ----------
    performance : Performance
    rate : int
        Samples a second.

    Returns
    -------
    numpy.ndarray
        As long as the performance; all zeros where nothing sounds.

    References
    ----------
    K. Karplus and A. Strong, *Computer Music Journal* 7/2 (1983) 43-55: plucked strings.
    ITU-R BS.1770-5, 2023: loudness.

    Examples
    --------
    >>> strings = hk.sound.play_strings(hk.Instrument.named("ukulele"), times=1)
    >>> samples = hk.sound.render(strings, rate=22050)
    >>> len(samples) == round(strings.seconds * 22050), bool(max(abs(samples)) <= 1)
    (True, True)
    """
    return _joined(Sound(performance, rate))


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
    check_length(performance.seconds)
    return _joined(_mixed(performance, rate))


def _joined(blocks: Iterable[Samples]) -> Samples:
    return np.concatenate((np.zeros(0), *blocks))


@dataclass(frozen=True, slots=True)
class _Part:
    """Where an event sounds without a break: from sample to sample, ``skipped`` of it before."""

    start: int
    stop: int
    skipped: int
    event: Event

    def add_to(self, block: Samples, begun: int, rate: int) -> None:
        """Add what sounds within a block that begins at a sample."""
        first, last = max(self.start, begun), min(self.stop, begun + len(block))
        since = self.skipped + first - self.start
        sound = _sounded(self.event, since, since + last - first, rate)
        block[first - begun : last - begun] += sound


def _mixed(performance: Performance, rate: int) -> Iterator[Samples]:
    """Yield the mix of a performance in blocks; what sounds at once is added in one order."""
    total = round(performance.seconds * rate)
    parts = list(_parts(performance, rate, total))
    waiting = sorted(range(len(parts)), key=lambda index: -parts[index].start)
    sounding: set[int] = set()
    for begun in range(0, total, _BLOCK):
        block = np.zeros(min(_BLOCK, total - begun))
        while waiting and parts[waiting[-1]].start < begun + len(block):
            sounding.add(waiting.pop())
        for index in sorted(sounding):
            parts[index].add_to(block, begun, rate)
        sounding = {index for index in sounding if parts[index].stop > begun + len(block)}
        yield block


def _parts(performance: Performance, rate: int, total: int) -> Iterator[_Part]:
    for event in performance.events:
        start, left = round(event.onset * rate), _count(event, rate)
        if not performance.around:
            left = min(left, total - start)
        skipped = 0
        while left > 0 and total:
            start = start % total if performance.around else start
            now = min(left, total - start)
            yield _Part(start, start + now, skipped, event)
            start, skipped, left = start + now, skipped + now, left - now


def _count(event: Event, rate: int) -> int:
    """Return how many samples an event sounds."""
    return min(max(round(event.length * rate), 0), len(_source(event, rate)))


def _sounded(event: Event, first: int, last: int, rate: int) -> Samples:
    """Return what an event sounds like from one of its samples to another; its end fades out."""
    sound: Samples = _source(event, rate)[first:last] * (event.velocity / 127) ** 1.5
    count = _count(event, rate)
    release = min(int(_RELEASE * rate), count)
    fading = max(count - release, first)
    if last > fading:
        fade = _fade(release)[fading - count + release :]
        sound[fading - first :] *= fade[: last - fading]
    return sound


@lru_cache(maxsize=64)
def _fade(count: int) -> Samples:
    return np.linspace(1.0, 0.0, count)


def _source(event: Event, rate: int) -> Samples:
    if event.kind == CLICK:
        return click(high=event.midi == HIGH_BLOCK, rate=rate)
    return pluck(event.midi, rate, BASS_VOICE if event.kind == BASS else STRING)


def wav_bytes(samples: Samples | Sound, rate: int = RATE) -> bytes:
    """Return samples, or a sound at its own rate, as a WAV file of one channel, 16 bits.

    Parameters
    ----------
    samples : array of float or Sound
        From -1 to 1.
    rate : int, optional
        Samples a second.

    Returns
    -------
    bytes
        A whole file: mono, 16 bits.

    Examples
    --------
    >>> strings = hk.sound.play_strings(hk.Instrument.named("ukulele"), times=1)
    >>> hk.sound.wav_bytes(hk.sound.render(strings))[:4]
    b'RIFF'
    """
    buffer = io.BytesIO()
    if isinstance(samples, Sound):
        samples.write_wav(buffer)
    else:
        samples = _as_samples(samples)
        _write_wav(buffer, (samples,), len(samples), rate)
    return buffer.getvalue()


def write_wav(
    path: str | Path, samples: Samples | Sound | Performance | HasWav, rate: int = RATE
) -> Path:
    """Write samples, or a sound, to a WAV file of one channel, 16 bits.

    Parameters
    ----------
    path : str or Path
    samples : array of float, or a sound
        From -1 to 1; or a performance, or what ``hk.progression("Dm7 G7 C").sound()`` returns.
    rate : int, optional
        Samples a second.

    Returns
    -------
    Path

    Raises
    ------
    HarmonyError
        If it is not a sound, and not numbers in a row.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> strings = hk.sound.play_strings(hk.Instrument.named("ukulele"), times=1)
    >>> hk.sound.write_wav(Path(mkdtemp()) / "strings.wav", strings).name
    'strings.wav'
    """
    target = need_path(path, "the WAV file")
    if isinstance(samples, Performance):
        samples = Sound(samples, rate)
    elif not isinstance(samples, HasWav | Sound):
        samples = _as_samples(samples)
    with target.open("wb") as file:
        if isinstance(samples, HasWav):
            file.write(samples.wav)
        elif isinstance(samples, Sound):
            samples.write_wav(file)
        else:
            _write_wav(file, (samples,), len(samples), rate)
    return target


def _as_samples(given: object) -> Samples:
    """Return numbers in a row as samples, or say what is wanted."""
    if isinstance(given, np.ndarray | list | tuple):
        found = np.asarray(given)
        if found.ndim == 1 and found.dtype.kind in "fiu":
            return found.astype(np.float64, copy=False)
    raise wrong_kind(
        given, "samples from -1 to 1, or a sound", 'hk.progression("Dm7 G7 C").sound()'
    )


def _write_wav(file: BinaryIO, blocks: Iterable[Samples], count: int, rate: int) -> None:
    with wave.open(file, "wb") as wav:
        wav.setnchannels(1)
        wav.setsampwidth(2)
        wav.setframerate(rate)
        # Told beforehand, the header is written once.
        wav.setnframes(count)
        for block in blocks:
            whole = np.clip(np.rint(block * 32767), -32768, 32767).astype("<i2")
            wav.writeframesraw(whole.tobytes())
