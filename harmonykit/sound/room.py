"""A small room, and the open strings that ring along: what answers to all that is played.

Conventions.  Rows are the left and the right; samples are floats at ``rate`` a second.  A room is a
noise that dies away, dulled, with some single answers before it (Moorer 1979); what answers is the
same for all of a performance, so it is one convolution, done in blocks.

References
----------
J. A. Moorer, "About This Reverberation Business", Computer Music Journal 3/2 (1979) 13-28: noise
that dies away as the answer of a room.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.fretboard.strings.neck import Neck
from harmonykit.sound.noise import Samples, white
from harmonykit.sound.pluck import partials
from harmonykit.sound.strung import Voice, table, voices

Answers = tuple[Samples, Samples]
_SEEDS = (11, 12)
_SIDES = ("left", "right")


def answers(instrument: Neck | None, rate: int) -> Answers:
    """Return what answers to strings, and to all else, each as two rows of samples."""
    room = _room(rate)
    along = _along(voices(instrument)["tone"], rate).copy()
    along[:, : room.shape[1]] += room
    return along, room


@lru_cache(maxsize=4)
def _room(rate: int) -> Samples:
    """Return a room's answer; it is read-only."""
    room = table()["room"]
    count = int(room["length"] * rate)
    time = np.arange(count) / rate
    fall = np.exp(-math.log(1000) / room["fall"] * time) * (time >= room["first"])
    found = np.zeros((2, count))
    for row, side, seed in zip(found, _SIDES, _SEEDS, strict=True):
        tail = _dulled(white(count, seed) * fall, room["dull_hz"], rate)
        # As much energy as single answers of the sizes that are told have together.
        row += tail / math.sqrt(float((tail**2).sum()))
        for seconds, size in room[side]:
            row[round(seconds * rate)] += size
    found *= room["level"]
    found.flags.writeable = False
    return found


def _dulled(sound: Samples, hz: float, rate: int) -> Samples:
    """Return a sound whose parts above a frequency are weaker: a filter of the first order."""
    keep = math.exp(-2 * math.pi * hz / rate)
    last, found = 0.0, np.empty(len(sound))
    for index, value in enumerate(sound.tolist()):
        last = (1 - keep) * value + keep * last
        found[index] = last
    return found


@lru_cache(maxsize=8)
def _along(voice: Voice, rate: int) -> Samples:
    """Return what the open strings answer; it is read-only."""
    room = table()["room"]
    time = np.arange(int(room["ring"] * rate)) / rate
    found = np.zeros((2, len(time)))
    for strand in voice.strands:
        side = np.array(panned(strand.pan))[:, None]
        hz, lost = (each[: room["partials"], None] for each in partials(strand, strand.hz, rate))
        rings = np.exp(-lost * time) * np.sin(2 * np.pi * hz * time)
        found += side * (2 * lost / rate * rings).sum(axis=0)
    # What is cut off at the end is nothing by then.
    found *= room["along"] * np.minimum(1, 3 * (1 - np.arange(len(time)) / len(time)))
    found.flags.writeable = False
    return found


def panned(pan: float) -> tuple[float, float]:
    """Return how loud the left and the right are: together the same power wherever it is.

    Examples
    --------
    >>> [round(side, 3) for side in panned(0.0)], panned(-1.0)
    ([0.707, 0.707], (1.0, 0.0))
    """
    turn = (pan + 1) * math.pi / 4
    return math.cos(turn), math.sin(turn)


class Answering:
    """Adds to sounds, block after block, what answers to them; it keeps no more than its tail.

    Parameters
    ----------
    found : tuple of array
        For each of the rows that are sent, what answers to it.
    block : int
        How many samples a block has at most.
    """

    def __init__(self, found: Answers, block: int) -> None:
        self._longest = max(one.shape[1] for one in found)
        self._size = _fast(block + self._longest)
        self._through = [
            np.fft.rfft(one.astype(np.float32), self._size).astype(np.complex64) for one in found
        ]
        self._tail = np.zeros((2, self._longest), np.float32)

    def answer(self, sent: Samples) -> Samples:
        """Return what is heard of the room while some samples are sent, a row for each answer."""
        count = sent.shape[1]
        spectrum: NDArray[Any] = np.zeros((2, self._size // 2 + 1), np.complex64)
        for row, through in zip(sent, self._through, strict=True):
            if row.any():
                spectrum += np.fft.rfft(row, self._size) * through
        found = np.fft.irfft(spectrum, self._size).astype(np.float32, copy=False)
        found[:, : self._longest] += self._tail
        self._tail = found[:, count : count + self._longest].copy()
        return found[:, :count]


def _fast(size: int) -> int:
    """Return a size, no smaller, whose transform is quick."""
    whole: int = 1 << (size - 1).bit_length()
    return min(each for each in (whole * 5 // 8, whole * 3 // 4, whole) if each >= size)
