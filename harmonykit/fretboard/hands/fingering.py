"""Fingerings: which finger holds which string, and how far that is from a finger a fret.

Conventions.  Fingers are numbered 1 (index) to 4 (little finger); 5 is the thumb over the neck.  A
*hold* is one finger's work: a fret and the strings from the first to the last that it presses.
Strings are numbered from 0 in the instrument's order; the hand reaches round the neck from the
last string's side.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from harmonykit.fretboard.shapes.frettings import Fretting

FINGERS = (1, 2, 3, 4)
INDEX, MIDDLE, RING, LITTLE = FINGERS
THUMB = 5
# From one string to the next under the fingers; necks differ by a millimetre or two.
STRING_GAP_MM = 9.0
_FIRST_POSITION_FRETS = 3


@dataclass(frozen=True, slots=True)
class Barre:
    """One finger laid flat over several strings.

    Parameters
    ----------
    finger, fret : int
    first, last : int
        The first and the last string under it.
    """

    finger: int
    fret: int
    first: int
    last: int

    @property
    def width(self) -> int:
        """How many strings lie under it."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class Fingering:
    """Fingers on strings.

    Parameters
    ----------
    fingers : tuple of int or None
        For each string 1 (index) to 4 (little finger), 5 (thumb), 0 open, ``None`` muted.
    barres : tuple of Barre
    stretch_mm : float
        From the lowest to the highest fretted wire, in mm.
    """

    fingers: tuple[int | None, ...]
    barres: tuple[Barre, ...] = ()
    stretch_mm: float = 0.0


class Hold(NamedTuple):
    """One finger's work: a fret, and the strings that it presses from first to last.

    A plain tuple, since the hand model makes them by the thousand.
    """

    fret: int
    first: int
    last: int

    @property
    def width(self) -> int:
        """How many strings lie under the finger."""
        return self.last - self.first + 1

    def shares_a_string(self, other: Hold) -> bool:
        """Whether some string lies under both."""
        return self.first <= other.last and other.first <= self.last


def held_by(frets: Fretting, fingering: Fingering) -> dict[int, Hold]:
    """Return what each finger presses, the index first; a flat one all that it lies over.

    Examples
    --------
    >>> held_by((0, 2, 3, 2), Fingering((0, 1, 3, 2)))[3]
    Hold(fret=3, first=2, last=2)
    """
    found = {
        finger: Hold(fret, string, string)
        for string, (finger, fret) in enumerate(zip(fingering.fingers, frets, strict=True))
        if finger and fret
    }
    flat = {b.finger: Hold(b.fret, b.first, b.last) for b in fingering.barres}
    return dict(sorted((found | flat).items()))


def awkwardness(holds: tuple[Hold, ...], fingers: tuple[int, ...], position: int) -> int:
    """Return how far fingers stand from a finger a fret, and what flat and parted ones add.

    The thumb counts as one fret.

    Examples
    --------
    >>> two_frets = (Hold(1, 2, 2), Hold(2, 0, 0))
    >>> awkwardness(two_frets, (1, 2), position=1), awkwardness(two_frets, (1, 4), position=1)
    (0, 2)
    """
    placed = [pair for pair in zip(fingers, holds, strict=True) if pair[0] != THUMB]
    away = sum(abs(finger - (hold.fret - position + 1)) for finger, hold in placed)
    flat = sum(min(hold.width, 4) for hold in holds if hold.width > 1)
    thumb = len(holds) - len(placed)
    return away + flat + thumb + sum(_parted(pair) for pair in pairwise(placed))


def _parted(pair: tuple[tuple[int, Hold], tuple[int, Hold]]) -> int:
    """Return the frets left free between two neighbouring fingers."""
    (low, near), (high, far) = pair
    return max(0, far.fret - near.fret - 1) if high == low + 1 else 0


def position_of(frets: Fretting) -> int:
    """Return the fret at which the index stands or would stand.

    Shapes with open strings that go no higher than the third fret lie in first position, where
    finger 2 takes fret 2 and finger 3 fret 3 (common practice, no source).
    """
    fretted = [fret for fret in frets if fret]
    if not fretted or (0 in frets and max(fretted) <= _FIRST_POSITION_FRETS):
        return 1
    return min(fretted)
