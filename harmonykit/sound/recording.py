"""A recording as what is heard in it: how strong each pitch is from moment to moment.

Conventions.  A moment is ``STEP`` seconds.  Pitches are MIDI numbers from ``LOWEST`` on.  What is
strong is a tone: a peak over what lies half a semitone beside it, so that noise, clicks and speech
count for little; strengths are amplitudes to the power of ``POWER``.  The file is read in blocks,
and only strengths are kept: ten minutes take 40 MB however they were recorded.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.errors import HarmonyError, missing_file
from harmonykit.files import shown
from harmonykit.values import dataclass, field

Numbers = NDArray[np.float64]

STEP = 1 / 24
LOWEST, HIGHEST = 36, 104
POWER = 0.5
MOST_SECONDS, LEAST_SECONDS = 600, 3.0
_MOST_BYTES = 300_000_000
# Parts of a semitone, so that the tuning can be found when all has been read.
_FINE = 10
_MARGIN = 1
_BLOCK = 48
# The window has to tell neighbours a semitone apart: periods of the lowest string.
_PERIODS, _SHORTEST, _LONGEST = 48, 0.17, 0.40
_QUIET, _CLIPPED, _CLIPPED_SHARE = 0.001, 0.985, 0.0005
# So many cents off are said.
_CENTS = 15
# A peak has to rise over so much of what lies beside it.
_OVER = 1.3
_READ = "WAV, MP3, OGG, FLAC, AIFF or CAF"


@dataclass(frozen=True, slots=True)
class Recording:
    """What is heard in a recording, from moment to moment.

    Parameters
    ----------
    strengths : array, moments by pitches
        How strong each pitch is, the tuning taken into account.
    rises : array, one a moment
        How much new there is: high where strings are struck.
    cents : float
        How far the recording is from A4 = 440 Hz, from -50 to 50.
    clear : float in 0..1
        How well the pitches agree on that tuning: 0 where nothing has a pitch.
    seconds : float
    clipped : float
        Share of samples that are as loud as can be.
    """

    strengths: Numbers = field(repr=False)
    rises: Numbers = field(repr=False)
    cents: float
    clear: float
    seconds: float
    clipped: float

    @property
    def remarks(self) -> tuple[str, ...]:
        """What makes hearing hard in it, and what to do."""
        said = []
        if self.clipped > _CLIPPED_SHARE:
            said.append(
                "The recording is overdriven: move the phone away, or turn its level down, "
                "and record again."
            )
        if abs(self.cents) >= _CENTS:
            side = "sharp" if self.cents > 0 else "flat"
            said.append(
                f"The strings are about {abs(self.cents):.0f} cents {side}: tune to A = 440 Hz."
            )
        return tuple(said)


def read_recording(path: str | Path, lowest_hz: float = 196.0) -> Recording:
    """Read a recording and find how strong each pitch is from moment to moment.

    Parameters
    ----------
    path : str or Path
    lowest_hz : float
        The lowest string: the lower, the longer a window has to be.

    Returns
    -------
    Recording

    Raises
    ------
    HarmonyError
        If it cannot be read, or is too short, too long, too large or too quiet.
    """
    path = Path(path)
    fine, seconds, clipped = _listened(path, min(max(_PERIODS / lowest_hz, _SHORTEST), _LONGEST))
    cents, clear = _tuning(fine)
    strengths = _tones(fine, cents)
    return Recording(strengths, _rises(fine), cents, clear, seconds, clipped)


def _listened(path: Path, window: float) -> tuple[Numbers, float, float]:
    """Return amplitudes by moment and tenth of a semitone, the length, and the clipped share."""
    import soundfile

    try:
        if not path.is_file():
            raise OSError
        size = path.stat().st_size
        with soundfile.SoundFile(path) as file:
            _check_size(path, file.frames / file.samplerate, size)
            return _spectra(file, window, path)
    except OSError:
        if not path.exists():
            raise missing_file(path) from None
        raise HarmonyError(f"{shown(path)} cannot be opened", mend="a recording's path") from None
    except soundfile.LibsndfileError:
        raise HarmonyError(
            f"{shown(path)} is not a recording that can be read",
            rule=f"{_READ}; M4A and AAC cannot be read",
            mend="save it as WAV: in the recorder's settings, or in a program that opens it",
        ) from None


def _check_size(path: Path, seconds: float, size: int) -> None:
    if size > _MOST_BYTES:
        raise HarmonyError(
            f"{shown(path)} has {size // 1_000_000} MB",
            rule=f"{_MOST_BYTES // 1_000_000} MB at most",
            mend="a recording with one channel, or an MP3",
        )
    if seconds > MOST_SECONDS:
        raise HarmonyError(
            f"{shown(path)} lasts {seconds / 60:.0f} minutes",
            rule=f"{MOST_SECONDS // 60} minutes at most",
            mend="once through the tune",
        )
    if seconds < LEAST_SECONDS:
        raise HarmonyError(
            f"{shown(path)} lasts {seconds:.1f} seconds",
            rule=f"at least {LEAST_SECONDS:.0f} seconds",
            mend="once through the tune, from the first chord to the last",
        )


def _spectra(file: Any, window: float, path: Path) -> tuple[Numbers, float, float]:
    """Read a file moment by moment; a moment lies in the middle of its window."""
    rate = file.samplerate
    hop, length = round(rate * STEP), round(rate * window)
    size = 1 << (2 * length - 1).bit_length()
    shape, bands = np.hanning(length), _bands(rate, size)
    heard = np.zeros(length // 2)
    rows, loudest, clipped, count = [], 0.0, 0, 0
    for block in _padded(file, hop * _BLOCK, length // 2):
        loudest = max(loudest, float(np.abs(block).max(initial=0.0)))
        clipped, count = clipped + int((np.abs(block) >= _CLIPPED).sum()), count + len(block)
        heard = np.concatenate((heard, block))
        moments = max((len(heard) - length) // hop + 1, 0)
        if moments:
            windows = np.lib.stride_tricks.sliding_window_view(heard, length)[::hop][:moments]
            amplitudes = np.abs(np.fft.rfft(windows * shape, size))
            rows.append(np.maximum.reduceat(amplitudes, bands, axis=1).astype(np.float32))
            heard = heard[moments * hop :]
    if loudest < _QUIET:
        raise HarmonyError(
            f"{shown(path)} is silent, or too quiet to hear a chord in it",
            mend="record again with the phone within an arm's length of the instrument",
        )
    return np.concatenate(rows), file.frames / rate, clipped / max(count, 1)


def _padded(file: Any, size: int, after: int) -> Iterator[Numbers]:
    """Yield a file in blocks, its channels as one, and silence after it."""
    for block in file.blocks(blocksize=size, dtype="float64", always_2d=True):
        yield block.mean(axis=1)
    yield np.zeros(after)


def _bands(rate: int, size: int) -> NDArray[np.intp]:
    """Return where each tenth of a semitone begins among the frequencies of a spectrum."""
    count = (HIGHEST - LOWEST + 1 + 2 * _MARGIN) * _FINE
    pitches = LOWEST - _MARGIN + (np.arange(count) - 0.5) / _FINE
    places = np.rint(440 * 2 ** ((pitches - 69) / 12) * size / rate).astype(np.intp)
    return np.minimum(places, size // 2)


def _tuning(fine: Numbers) -> tuple[float, float]:
    """Return how far the tones are from equal temperament in cents, and how well they agree."""
    beside = np.stack([np.roll(fine, shift, axis=1) for shift in (-3, -2, -1, 1, 2, 3)])
    peaks = (fine >= beside.max(axis=0)) & (fine > 2 * beside[[0, 5]].mean(axis=0))
    low, peak, high = (np.log(np.roll(fine, shift, axis=1)[peaks] + 1e-12) for shift in (1, 0, -1))
    # A parabola through the peak and its neighbours says on which side of the tenth it is.
    bend = np.minimum(low - 2 * peak + high, -1e-6)
    aside = np.clip((low - high) / (2 * bend), -0.5, 0.5)
    strengths = np.exp(peak * POWER)
    turns = np.exp(2j * np.pi * (np.nonzero(peaks)[1] + aside) / _FINE)
    mean = (strengths * turns).sum() / max(float(strengths.sum()), 1e-12)
    return float(np.angle(mean) / (2 * np.pi) * 100), float(np.abs(mean))


def _tones(fine: Numbers, cents: float) -> Numbers:
    """Return how strong each pitch is: its peak over what lies half a semitone beside it."""
    middles = np.arange(_MARGIN, HIGHEST - LOWEST + 1 + _MARGIN) * _FINE + round(
        cents * _FINE / 100
    )
    peak = np.max(np.stack([fine[:, middles + part] for part in (-2, -1, 0, 1, 2)]), axis=0)
    valley = np.mean(np.stack([fine[:, middles + part] for part in (-5, -4, 4, 5)]), axis=0)
    return np.asarray(np.maximum(peak - _OVER * valley, 0.0) ** POWER, dtype=np.float64)


def _rises(fine: Numbers) -> Numbers:
    """Return how much louder each moment is than the one before, all pitches together."""
    logs = np.log1p(fine / max(float(np.median(fine)), 1e-9))
    more = np.maximum(np.diff(logs, axis=0, prepend=logs[:1]), 0.0).mean(axis=1)
    return np.asarray(more / max(float(np.max(more)), 1e-9), dtype=np.float64)
