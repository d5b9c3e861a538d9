"""How loud samples are to the ear, and setting all files equally loud.

Conventions.  Samples are floats from -1 to 1, one channel.  Loudness is in LUFS (the same as LKFS):
decibels against full scale, weighted as the ear hears, without the silences.

References
----------
ITU-R BS.1770-5, "Algorithms to measure audio programme loudness and true-peak audio level",
International Telecommunication Union, Geneva 2023, annex 1: weighting (tables 1 and 2), gates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]

# What every file of ours has.  Plucked strings are all attack: at this loudness only the tips of
# the attacks reach the ceiling.  Both loudspeakers of a pair together make it 3 dB louder.
TARGET = -20.0
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
_HOPS_A_BLOCK, _HOPS_A_SECOND = 4, 10
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
    gain = TARGET - loudness(samples, rate)
    if math.isinf(gain):
        return samples
    most = _MOST_BENT + 20 * math.log10(CEILING / np.abs(samples).max())
    for _ in range(_MOST_ROUNDS):
        gain = min(gain, most)
        leveled = bend(samples * 10 ** (gain / 20))
        missing = TARGET - loudness(leveled, rate)
        if abs(missing) < _CLOSE_ENOUGH or gain == most:
            break
        gain += missing
    return leveled


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
    """Return the integrated loudness of one channel, in LUFS; minus infinity for silence.

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
    powers = _block_powers(samples, rate)
    heard = powers[_lufs(powers) > _SILENCE_GATE]
    if not len(heard):
        return -math.inf
    heard = heard[_lufs(heard) > float(_lufs(heard.mean())) + _RELATIVE_GATE]
    return float(_lufs(heard.mean()))


def _lufs(power: Samples | np.float64) -> Samples:
    return _OFFSET + 10 * np.log10(np.maximum(power, 1e-30))


def _block_powers(samples: Samples, rate: int) -> Samples:
    """Return the mean square of each block, weighted."""
    hop = rate // _HOPS_A_SECOND
    # What is shorter than one block is heard as one block that ends in silence.
    hops = max(len(samples) // hop, _HOPS_A_BLOCK)
    energies = np.concatenate(list(_hop_energies(samples, rate, hop)))[:hops]
    return np.convolve(energies, np.ones(_HOPS_A_BLOCK), "valid") / (_HOPS_A_BLOCK * hop)


def _hop_energies(samples: Samples, rate: int, hop: int) -> Iterator[Samples]:
    """Yield the energy of each hop through the standard's weighting, many hops at once.

    The weighting is worked out in the frequency domain, piece by piece.  The standard gives its
    filters for 48 kHz alone.  Their response in hertz is to be the same at every rate, so it is
    taken at the frequencies that the spectrum of a piece has.
    """
    response = _response(np.arange(_PIECE // 2 + 1) * (rate / _PIECE))
    step = (_PIECE - _LEAST_OVERLAP) // hop * hop
    overlap, stride = _PIECE - step, step * _PIECES_AT_ONCE
    for first in range(0, max(len(samples), 1), stride):
        part = np.zeros(overlap + stride)
        before = min(first, overlap)
        found = samples[first - before : first + stride]
        part[overlap - before : overlap - before + len(found)] = found
        pieces = np.lib.stride_tricks.sliding_window_view(part, _PIECE)[::step]
        through = np.fft.irfft(np.fft.rfft(pieces) * response, _PIECE)[:, overlap:]
        rows = through.reshape(-1, hop)
        yield np.einsum("ij,ij->i", rows, rows)


def _response(hertz: NDArray[np.floating]) -> NDArray[np.complex128]:
    delay = np.exp(-2j * np.pi * np.minimum(hertz, _THEIR_RATE / 2) / _THEIR_RATE)
    shelf, high_pass = (
        np.polyval(b[::-1], delay) / np.polyval(a[::-1], delay) for b, a in (_SHELF, _HIGH_PASS)
    )
    return np.asarray(shelf * high_pass)
