"""A performance as sound, in blocks, and a WAV file of it.

Conventions.  Samples are floats from -1 to 1 at ``rate`` a second: one channel, or left and right
in two columns.  Every performance comes out equally loud, however many strings it has and however
slowly it goes, and none clips (``loudness``).  A block is some seconds long: a sound takes the same
memory however long it is.
"""

from __future__ import annotations

import io
import wave
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO, Protocol, runtime_checkable

import numpy as np

from harmonykit.errors import HarmonyError, need_path, wrong_kind
from harmonykit.sound import loudness, mixing
from harmonykit.sound.noise import Samples
from harmonykit.sound.performance import Performance
from harmonykit.sound.pluck import RATE

__all__ = [
    "MOST_SECONDS", "RATE", "Samples", "Sound", "check_length", "mix", "render", "wav_bytes",
    "write_wav",
]  # fmt: skip

# Longer than any class plays without a break.
MOST_SECONDS = 1800
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
    channels : {2, 1}
        Left and right, or both as one.

    Raises
    ------
    HarmonyError
        If it lasts longer than ``MOST_SECONDS``.
    """

    def __init__(self, performance: Performance, rate: int = RATE, channels: int = 2) -> None:
        check_length(performance.seconds)
        self.performance, self.rate, self.channels = performance, rate, channels
        self._kept: list[Samples] | None = None
        if len(self) * 4 * channels <= _KEPT_BYTES:
            self._kept = list(self._mixed())
        self._gain = loudness.find_gain(self._blocks, rate)

    def __len__(self) -> int:
        return round(self.performance.seconds * self.rate)

    def __iter__(self) -> Iterator[Samples]:
        for block in self._blocks():
            yield loudness.leveled(block, self._gain)

    def _blocks(self) -> Iterable[Samples]:
        return self._mixed() if self._kept is None else self._kept

    def _mixed(self) -> Iterator[Samples]:
        for block in mixing.mixed(self.performance, self.rate):
            yield block if self.channels > 1 else block.mean(axis=1)

    def write_wav(self, file: BinaryIO) -> None:
        """Write it to an open file as WAV, 16 bits.

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
        _write_wav(file, self, len(self), self.rate, self.channels)


def render(performance: Performance, rate: int = RATE, channels: int = 1) -> Samples:
    """Return a performance as samples, set to the loudness of all our files.

    All of it is in the memory, 11 MB a minute and channel; ``Sound`` gives it in blocks.

    Parameters
    ----------
    performance : Performance
    rate : int
        Samples a second.
    channels : {1, 2}
        One, or left and right in two columns.

    Returns
    -------
    numpy.ndarray
        As long as the performance; all zeros where nothing sounds.

    References
    ----------
    J. Woodhouse, *Acta Acustica united with Acustica* 90/5 (2004) 928-965: a plucked string.
    ITU-R BS.1770-5, 2023: loudness.

    Examples
    --------
    >>> strings = hk.sound.play_strings(hk.Instrument.named("ukulele"), times=1)
    >>> samples = hk.sound.render(strings, rate=22050)
    >>> len(samples) == round(strings.seconds * 22050), bool(max(abs(samples)) <= 1)
    (True, True)
    """
    return _joined(Sound(performance, rate, channels), channels)


def mix(performance: Performance, rate: int = RATE, channels: int = 1) -> Samples:
    """Return the sum of all that sounds in a performance, as loud as it happens to be.

    Raises
    ------
    HarmonyError
        If it lasts longer than ``MOST_SECONDS``.
    """
    check_length(performance.seconds)
    both = _joined(mixing.mixed(performance, rate), 2)
    return both if channels > 1 else both.mean(axis=1)


def _joined(blocks: Iterable[Samples], channels: int) -> Samples:
    shape = (0, channels) if channels > 1 else 0
    return np.concatenate((np.zeros(shape, np.float32), *blocks))


def wav_bytes(samples: Samples | Sound, rate: int = RATE) -> bytes:
    """Return samples, or a sound at its own rate, as a WAV file of 16 bits.

    Parameters
    ----------
    samples : array of float or Sound
        From -1 to 1: in a row, or left and right in two columns.
    rate : int, optional
        Samples a second.

    Returns
    -------
    bytes
        A whole file.

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
        _write_wav(buffer, (samples,), len(samples), rate, _channels(samples))
    return buffer.getvalue()


def write_wav(
    path: str | Path, samples: Samples | Sound | Performance | HasWav, rate: int = RATE
) -> Path:
    """Write samples, or a sound, to a WAV file of 16 bits.

    Parameters
    ----------
    path : str or Path
    samples : array of float, or a sound
        From -1 to 1, in a row or in two columns; or a performance, or what
        ``hk.progression("Dm7 G7 C").sound()`` returns.
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
            _write_wav(file, (samples,), len(samples), rate, _channels(samples))
    return target


def _as_samples(given: object) -> Samples:
    """Return numbers in a row as samples, or say what is wanted."""
    if isinstance(given, np.ndarray | list | tuple):
        found = np.asarray(given)
        if found.dtype.kind in "fiu" and (found.ndim == 1 or found.shape[1:] == (2,)):
            return found.astype(np.float64, copy=False)
    raise wrong_kind(
        given, "samples from -1 to 1, or a sound", 'hk.progression("Dm7 G7 C").sound()'
    )


def _channels(samples: Samples) -> int:
    return samples.ndim


def _write_wav(
    file: BinaryIO, blocks: Iterable[Samples], count: int, rate: int, channels: int
) -> None:
    with wave.open(file, "wb") as wav:
        wav.setnchannels(channels)
        wav.setsampwidth(2)
        wav.setframerate(rate)
        # Told beforehand, the header is written once.
        wav.setnframes(count)
        for block in blocks:
            whole = np.clip(np.rint(block * 32767), -32768, 32767).astype("<i2")
            wav.writeframesraw(whole.tobytes())
