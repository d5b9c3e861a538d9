"""Wanted contours: where the highest pitch is to be at each moment of a phrase.

A contour is a wish, not a law: of traditional melodies few follow one closely.  It starts from the
highest open string, or one below, and spans so many semitones; phrases take contours by turns.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from harmonykit.fretboard.shapes.textures import has_many_strings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.tune import Tune


def _arch(place: float) -> float:
    return place / 0.7 if place < 0.7 else (1 - place) / 0.3 * 0.6 + 0.4


CONTOURS: Mapping[str, Callable[[float], float]] = MappingProxyType(
    {
        "rise": lambda place: place,
        "fall": lambda place: 1 - place,
        "arch": _arch,
        "valley": lambda place: 1 - _arch(place),
    }
)
"""Each contour as a height, 0 to 1, at each place of a phrase, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Line:
    """The wanted heights of the highest pitch in a tune.

    Parameters
    ----------
    phrases : tuple of (Fraction, Fraction)
        Where each starts and ends, in quarters.
    contours : tuple of str
        By turns, one a phrase; nothing is wanted of one that is empty.
    lowest, span : int
        The MIDI number at height 0, and semitones up to height 1.
    """

    phrases: tuple[tuple[Fraction, Fraction], ...]
    contours: tuple[str, ...]
    lowest: int
    span: int

    def wanted(self, onset: Fraction) -> float | None:
        """Return the wanted pitch at a moment, or None where any will do."""
        if not self.contours:
            return float(self.lowest)
        for number, (start, end) in enumerate(self.phrases):
            if start <= onset < end:
                name = self.contours[number % len(self.contours)]
                if not name:
                    return None
                place = float((onset - start) / (end - start))
                return self.lowest + self.span * CONTOURS[name](place)
        return float(self.lowest)

    def off(self, onset: Fraction, tops: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return how many semitones each of some highest pitches is off, at a moment."""
        wanted = self.wanted(onset)
        if wanted is None:
            return np.zeros_like(tops)
        found: NDArray[np.int64] = np.rint(np.abs(tops - wanted)).astype(np.int64)
        return found


def line_of(
    tune: Tune,
    instrument: Instrument,
    ends: Sequence[int],
    contours: Sequence[str],
    *,
    span: int = 9,
    string: int = 1,
) -> Line:
    """Return the wanted line of a tune whose phrases end in some bars.

    It starts from an open string, counted from the highest; from that one where all strings sound.
    """
    phrases = []
    start = Fraction(0)
    for index, played in enumerate(tune.playing):
        stop = played.onset + played.bar.length
        if index in ends or index == len(tune.playing) - 1:
            phrases.append((start, stop))
            start = stop
    lowest = sorted(instrument.midi)[-string if has_many_strings(instrument) else -1]
    return Line(tuple(phrases), tuple(contours), lowest, span)
