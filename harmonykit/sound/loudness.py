"""How loud samples are to the ear, and setting all files equally loud.

Conventions.  Samples are floats from -1 to 1: one channel, or left and right in two columns.
Loudness is in LUFS (the same as LKFS): decibels against full scale, weighted as the ear hears,
without the silences.

References
----------
ITU-R BS.1770-5, "Algorithms to measure audio programme loudness and true-peak audio level",
International Telecommunication Union, Geneva 2023, annex 1: weighting (tables 1 and 2), gates.
"""

import math
from collections.abc import Callable, Iterable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.sound.noise import Samples

# What every file of one channel has; one of two, which both loudspeakers sound, is measured 3 dB
# louder and is heard as loud.  Plucked strings are all attack: at this loudness only the tips of
# the attacks reach the ceiling.
TARGET, TARGET_OF_TWO = -20.0, -17.0
# No sample is above the ceiling: 1.5 dB are left for what the true peak and a lossy file add up
# to the usual limit of -1 dB.  What is above the knee is bent towards the ceiling.
CEILING, KNEE = 10 ** (-2.5 / 20), 10 ** (-6 / 20)
# What would be further above the ceiling than this, in dB, is left softer: nothing but clicks.
_MOST_BENT = 8.0
_CLOSE_ENOUGH, _MOST_ROUNDS = 0.1, 6

# Annex 1, tables 1 and 2: a shelf for the head and a high-pass, each as (b, a), for 48 kHz.
_SHELF = (
    (1.53512485958697, -2.69169618940638, 1.19839281085285),
    (1.0, -1.69065929318241, 0.73248077421585),
)
_HIGH_PASS = ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621))
_THEIR_RATE = 48_000
_OFFSET = -0.691
# Blocks of 0.4 s, a new one each 0.1 s; below the first gate is silence, the second is relative.
_HOPS_A_BLOCK, HOPS_A_SECOND = 4, 10
_SILENCE_GATE, _RELATIVE_GATE = -70.0, -10.0
# Filtered piece by piece: the weighting has rung down by far more than 100 dB in the overlap.
_PIECE, _LEAST_OVERLAP, _PIECES_AT_ONCE = 32_768, 6_000, 8


def level(samples: Samples, rate: int) -> Samples:
    """Return samples at the loudness of all our files, no sample above the ceiling.

    Silence is returned as it is.

    Parameters
    ----------
    samples : numpy.ndarray
    rate : int
        Samples a second, at most 48 000.
    """
    return leveled(samples, find_gain(lambda: (samples,), rate))


def leveled(samples: Samples, gain: float) -> Samples:
    """Return samples made louder by a gain in dB, bent where they reach the knee."""
    return samples if math.isinf(gain) else bend(samples * 10 ** (gain / 20))


def find_gain(blocks: Callable[[], Iterable[Samples]], rate: int) -> float:
    """Return how many dB set a sound to the loudness of all our files; infinite for silence.

    Bending makes what is loud softer, so the gain is found in rounds, each heard anew.

    Parameters
    ----------
    blocks : callable
        Gives the sound in blocks of any length, the same each time that it is called.
    rate : int
        Samples a second, at most 48 000.
    """
    found, peak, channels = _heard(blocks(), rate)
    target = TARGET if channels == 1 else TARGET_OF_TWO
    gain = target - found
    if math.isinf(gain):
        return gain
    most = _MOST_BENT + 20 * math.log10(CEILING / peak)
    for _ in range(_MOST_ROUNDS):
        used = min(gain, most)
        missing = target - _heard((leveled(block, used) for block in blocks()), rate)[0]
        if abs(missing) < _CLOSE_ENOUGH or used == most:
            break
        gain = used + missing
    return used


def bend(samples: Samples) -> Samples:
    """Return samples with what is above the knee bent smoothly towards the ceiling.

    Each sample depends on itself alone, so the place in a loop where the end meets the start is
    treated as any other.

    Examples
    --------
    >>> [round(float(x), 3) for x in bend(np.array([0.5, 0.8, -3.0]))]
    [0.5, 0.709, -0.75]
    """
    size = np.abs(samples)
    above = size > KNEE
    room = CEILING - KNEE
    bent = samples.copy()
    bent[above] = np.sign(samples[above]) * (KNEE + room * np.tanh((size[above] - KNEE) / room))
    return bent


def loudness(samples: Samples, rate: int) -> float:
    """Return the integrated loudness of one channel or two, in LUFS; minus infinity for silence.

    Parameters
    ----------
    samples : numpy.ndarray
    rate : int
        Samples a second, at most 48 000.

    Examples
    --------
    A sine of 997 Hz at full scale has -3.01 LUFS (BS.1770, annex 1).

    >>> sine = np.sin(2 * np.pi * 997 / 48_000 * np.arange(96_000))
    >>> round(loudness(sine, 48_000), 2)
    -3.01
    """
    return _heard((samples,), rate)[0]


def _heard(blocks: Iterable[Samples], rate: int) -> tuple[float, float, int]:
    """Return loudness in LUFS, greatest sample and number of channels of a sound."""
    meter = Meter(rate)
    for block in blocks:
        meter.hear(block)
    return meter.loudness, meter.peak, meter.channels


def _lufs(power: Samples | np.float64) -> Samples:
    return _OFFSET + 10 * np.log10(np.maximum(power, 1e-30))


def gated(powers: Samples) -> float:
    """Return the loudness of weighted powers, one each 0.1 s and four at least, in LUFS."""
    blocks = np.convolve(powers, np.ones(_HOPS_A_BLOCK) / _HOPS_A_BLOCK, "valid")
    heard = blocks[_lufs(blocks) > _SILENCE_GATE]
    if not len(heard):
        return -math.inf
    heard = heard[_lufs(heard) > float(_lufs(heard.mean())) + _RELATIVE_GATE]
    return float(_lufs(heard.mean()))


def weight_at(hertz: Samples) -> Samples:
    """Return how much the standard's weighting leaves of frequencies.

    Examples
    --------
    >>> [round(20 * math.log10(x), 1) for x in weight_at(np.array([100.0, 1000.0, 8000.0]))]
    [-1.1, 0.7, 4.0]
    """
    return np.abs(_through(hertz))


class Meter:
    """Hears a sound block after block, and keeps no more of it than one energy each 0.1 s.

    The weighting is worked out in the frequency domain, piece by piece.  The standard gives its
    filters for 48 kHz alone.  Their response in hertz is to be the same at every rate, so it is
    taken at the frequencies that the spectrum of a piece has.

    Parameters
    ----------
    rate : int
        Samples a second, at most 48 000.

    Attributes
    ----------
    peak : float
        The greatest sample so far, without its sign.
    channels : int
        How many the sound has; 1 as long as nothing was heard.
    """

    def __init__(self, rate: int) -> None:
        self.peak, self.channels = 0.0, 1
        self._hop = rate // HOPS_A_SECOND
        self._step = (_PIECE - _LEAST_OVERLAP) // self._hop * self._hop
        self._overlap = _PIECE - self._step
        self._weighting = _weighting(rate)
        # Before the sound there is silence.
        self._waiting: Samples = np.zeros((1, self._overlap), np.float32)
        self._energies: list[Samples] = []
        self._count = 0

    def hear(self, block: Samples) -> None:
        """Take in the next samples, as many as there are."""
        rows = np.atleast_2d(block.T)
        if len(rows) != self.channels:
            self.channels = len(rows)
            self._waiting = np.repeat(self._waiting, self.channels, axis=0)
        stride = self._step * _PIECES_AT_ONCE
        for start in range(0, rows.shape[1], stride):
            part = rows[:, start : start + stride]
            self._count += part.shape[1]
            self.peak = max(self.peak, float(np.max(part)), -float(np.min(part)))
            self._waiting = np.concatenate((self._waiting, part), axis=1)
            pieces = (self._waiting.shape[1] - self._overlap) // self._step
            if pieces:
                self._energies.append(self._energies_of(self._waiting, pieces))
                self._waiting = self._waiting[:, pieces * self._step :]

    @property
    def loudness(self) -> float:
        """The integrated loudness so far, in LUFS; minus infinity for silence."""
        rest = np.zeros((self.channels, _PIECE))
        rest[:, : self._waiting.shape[1]] = self._waiting
        energies = np.concatenate((*self._energies, self._energies_of(rest, 1)))
        # What is shorter than one block is heard as one block that ends in silence.
        energies = energies[: max(self._count // self._hop, _HOPS_A_BLOCK)]
        return gated(energies / self._hop)

    def _energies_of(self, rows: Samples, pieces: int) -> Samples:
        """Return the energy of each hop of some pieces through the standard's weighting."""
        found = np.zeros(pieces * self._step // self._hop)
        for row in rows[:, : self._overlap + pieces * self._step]:
            windows = np.lib.stride_tricks.sliding_window_view(row, _PIECE)[:: self._step]
            through = np.fft.irfft(np.fft.rfft(windows) * self._weighting, _PIECE)
            hops = through[:, self._overlap :].reshape(-1, self._hop)
            found += np.einsum("ij,ij->i", hops, hops)
        return found


@lru_cache(maxsize=4)
def _weighting(rate: int) -> NDArray[np.complex64]:
    """Return the standard's weighting at the frequencies that the spectrum of a piece has."""
    return _through(np.arange(_PIECE // 2 + 1) * (rate / _PIECE))


def _through(hertz: Samples) -> NDArray[np.complex64]:
    delay = np.exp(-2j * np.pi * np.minimum(hertz, _THEIR_RATE / 2) / _THEIR_RATE)
    shelf, high_pass = (
        np.polyval(b[::-1], delay) / np.polyval(a[::-1], delay) for b, a in (_SHELF, _HIGH_PASS)
    )
    return np.asarray(shelf * high_pass, np.complex64)
