"""How loud samples are to the ear, how high their true peak is, and setting both.

Conventions.  Samples are floats from -1 to 1, one channel.  Loudness is in LUFS (the same as LKFS):
decibels against full scale, weighted as the ear hears, without the silences.  Peaks are in dBTP:
decibels against full scale of the curve that a loudspeaker draws *between* the samples too.

References
----------
ITU-R BS.1770-5, "Algorithms to measure audio programme loudness and true-peak audio level",
International Telecommunication Union, Geneva 2023: annex 1, weighting (tables 1 and 2) and gates;
annex 2, true peak by four-fold oversampling.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]

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
_PIECE, _OVERLAP = 32_768, 8_192


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
    powers = _block_powers(_weighted(samples, rate), rate)
    heard = powers[_lufs(powers) > _SILENCE_GATE]
    if not len(heard):
        return -math.inf
    heard = heard[_lufs(heard) > float(_lufs(heard.mean())) + _RELATIVE_GATE]
    return float(_lufs(heard.mean()))


def _lufs(power: Samples | np.float64) -> Samples:
    return _OFFSET + 10 * np.log10(np.maximum(power, 1e-30))


def _block_powers(weighted: Samples, rate: int) -> Samples:
    hop = rate // _HOPS_A_SECOND
    hops = max(len(weighted) // hop, _HOPS_A_BLOCK)
    # What is shorter than one block is heard as one block that ends in silence.
    whole = np.zeros(hops * hop)
    whole[: min(len(weighted), len(whole))] = weighted[: len(whole)]
    energies = np.einsum("ij,ij->i", rows := whole.reshape(hops, hop), rows)
    return np.convolve(energies, np.ones(_HOPS_A_BLOCK), "valid") / (_HOPS_A_BLOCK * hop)


def _weighted(samples: Samples, rate: int) -> Samples:
    """Return samples through the standard's weighting, worked out in the frequency domain.

    The standard gives its filters for 48 kHz alone.  Their response in hertz is the same at every
    rate, so it is taken at the frequencies of the pieces' spectrum.
    """
    response = _response(np.fft.rfftfreq(_PIECE, 1 / rate))
    step = _PIECE - _OVERLAP
    count = -(-len(samples) // step)
    padded = np.zeros(_OVERLAP + count * step)
    padded[_OVERLAP : _OVERLAP + len(samples)] = samples
    pieces = np.lib.stride_tricks.sliding_window_view(padded, _PIECE)[::step]
    through = np.fft.irfft(np.fft.rfft(pieces) * response, _PIECE)
    return through[:, _OVERLAP:].ravel()[: len(samples)]


def _response(hertz: Samples) -> NDArray[np.complex128]:
    delay = np.exp(-2j * np.pi * np.minimum(hertz, _THEIR_RATE / 2) / _THEIR_RATE)
    parts = [
        np.polyval(b[::-1], delay) / np.polyval(a[::-1], delay) for b, a in (_SHELF, _HIGH_PASS)
    ]
    return np.asarray(parts[0] * parts[1])
