"""Voice leading: how little the voices need to move from one chord to the next.

Conventions.  A voice leads from one pitch class to another by its displacement in semitones, -5 to
6: the shorter way round the octave, and 6 for a tritone, which is as near by either way.  A voice
leading is measured by the sum of the semitones moved (norm 1), by the root of the sum of their
squares (norm 2), or by the largest move (norm ``math.inf``).  Chords of one size are matched note
against note; where the sizes differ, or where ``doubling`` is asked for, every note of both chords
is used at least once and any may be used several times.

A chord is a ``PcSet``, anything with one as ``.pcs``, or a tuple or list of pitch classes, in which
a note that stands twice counts twice.

Why this is exact.  For a given matching each voice takes its shorter way, since octaves of
different voices are independent.  Where two voices cross, exchanging their ends makes no measure
larger and the sum of squares less, so some best voice leading crosses nowhere.  Those of equal
size are the rotations of one chord against the other; those with doubling are the closed paths of
a staircase, on which each step advances one chord, the other, or both by one note.

References
----------
Dmitri Tymoczko, "The Geometry of Musical Chords", *Science* 313 (2006) 72-74, and its supporting
material: crossing-free voice leadings, and a polynomial method for those with doubling.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from harmonykit.errors import HarmonyError
from harmonykit.theory.pcset import HasPcs, PcSet, pitch_class

Chordlike = PcSet | HasPcs | Iterable[int]
Notes = tuple[int, ...]

_WORST = 1 << 40
_FINE = 1 << 20  # weight of the measure asked for, over the one that chooses among its ties


class Move(NamedTuple):
    """One voice: from a pitch class to a pitch class, and the semitones between, -5 to 6."""

    start: int
    end: int
    displacement: int


@dataclass(frozen=True, slots=True)
class VoiceLeading:
    """A best way from one chord to another.

    Parameters
    ----------
    moves : tuple of Move
        One a voice, by the note that it leaves.
    norm : float
        1, 2 or ``math.inf``.
    doubling : bool
        Whether notes were allowed to be used several times.

    Examples
    --------
    >>> leading = best_voice_leading(PcSet.of(2, 5, 7, 11), PcSet.of(0, 4, 7, 11))
    >>> [tuple(move) for move in leading.moves], leading.total
    ([(2, 0, -2), (5, 4, -1), (7, 7, 0), (11, 11, 0)], 3)
    """

    moves: tuple[Move, ...]
    norm: float = 1
    doubling: bool = False

    @property
    def total(self) -> float:
        """The measure: semitones in all, the root of the sum of squares, or the largest move."""
        return _measure([move.displacement for move in self.moves], self.norm)

    @property
    def common_tones(self) -> PcSet:
        """The notes that a voice holds."""
        return PcSet.of(*(move.start for move in self.moves if not move.displacement))


def displacement(start: int, end: int) -> int:
    """Return the semitones of the shorter way between two pitch classes, -5 to 6.

    Examples
    --------
    >>> displacement(11, 0), displacement(0, 11), displacement(0, 6), displacement(6, 0)
    (1, -1, 6, 6)
    """
    return (end - start + 5) % 12 - 5


def distance(a: Chordlike, b: Chordlike, norm: float = 1, doubling: bool = False) -> float:
    """Return the least voice-leading distance between two chords.

    Parameters
    ----------
    a, b : PcSet, anything with ``.pcs``, or pitch classes
    norm : 1, 2 or math.inf
    doubling : bool
        Let every note be used several times; always so where the sizes differ.

    Returns
    -------
    int or float
        Semitones; a float for norm 2 alone.

    Raises
    ------
    HarmonyError
        For another norm, or where one of the chords has no notes and the other has.

    Examples
    --------
    >>> distance(PcSet.of(0, 3, 6, 9), PcSet.of(11, 3, 6, 9))
    1
    >>> distance(PcSet.of(0, 7, 11), PcSet.of(6, 7, 11), doubling=True)
    2
    """
    return best_voice_leading(a, b, norm, doubling).total


def best_voice_leading(
    a: Chordlike, b: Chordlike, norm: float = 1, doubling: bool = False
) -> VoiceLeading:
    """Return a voice leading of the least distance; among several, the one with no wide leaps.

    Examples
    --------
    >>> to_g7 = best_voice_leading(PcSet.of(0, 4, 7), PcSet.of(2, 5, 7, 11))
    >>> [tuple(move) for move in to_g7.moves]
    [(0, 2, 2), (0, 11, -1), (4, 5, 1), (7, 7, 0)]
    """
    one, other = _notes(a), _notes(b)
    doubling = doubling or len(one) != len(other)
    return _best(one, other, _checked(norm), doubling)


def distance_matrix(
    chords: Sequence[Chordlike], norm: float = 1, doubling: bool = False
) -> NDArray[np.float64]:
    """Return the distances between all pairs of chords."""
    return np.array([[distance(a, b, norm, doubling) for b in chords] for a in chords], float)


def _notes(chord: Chordlike) -> Notes:
    if isinstance(chord, PcSet):
        return tuple(chord)
    pcs = getattr(chord, "pcs", None)
    if isinstance(pcs, PcSet):
        return tuple(pcs)
    if isinstance(chord, str) or not isinstance(chord, Iterable):
        raise HarmonyError(
            f"{chord!r} is no chord to lead voices from",
            mend="a PcSet, a Chord, or a tuple of pitch classes such as (0, 4, 7)",
        )
    return tuple(sorted(pitch_class(pc) for pc in chord))


def _checked(norm: float) -> float:
    if norm not in (1, 2, math.inf):
        raise HarmonyError(
            f"there is no norm {norm!r} here",
            rule="1 sums the semitones, 2 is the root of their squares, math.inf the largest",
        )
    return norm


def _measure(displacements: Iterable[int], norm: float) -> float:
    sizes = [abs(displacement) for displacement in displacements]
    if norm == 2:
        return math.sqrt(sum(size * size for size in sizes))
    return sum(sizes) if norm == 1 else max(sizes, default=0)


@lru_cache(maxsize=1 << 16)
def _best(a: Notes, b: Notes, norm: float, doubling: bool) -> VoiceLeading:
    if bool(a) != bool(b):
        raise HarmonyError("no voice leads from or to a chord without notes")
    if not a:
        return VoiceLeading((), norm, doubling)
    limit = _least_limit(a, b, doubling) if norm == math.inf else 6
    costs = [[_cost(displacement(x, y), norm, limit) for y in b] for x in a]
    pairs = _staircase(costs) if doubling else _rotation(costs)
    moves = sorted(Move(a[i], b[j], displacement(a[i], b[j])) for i, j in pairs)
    return VoiceLeading(tuple(moves), norm, doubling)


def _cost(move: int, norm: float, limit: int) -> int:
    """Return the norm's own cost of a move, with the other norm's below it to choose among ties."""
    size = abs(move)
    if size > limit:
        return _WORST
    if norm == 1:
        return size * _FINE + size * size
    return size * size * _FINE + size


def _least_limit(a: Notes, b: Notes, doubling: bool) -> int:
    """Return the largest move that cannot be avoided."""
    sizes = [[abs(displacement(x, y)) for y in b] for x in a]
    if doubling:  # the Hausdorff distance: each note goes to its nearest
        return max(max(map(min, sizes)), max(map(min, zip(*sizes, strict=True))))
    n = len(a)
    return min(max(sizes[i][(i + r) % n] for i in range(n)) for r in range(n))


def _rotation(costs: list[list[int]]) -> list[tuple[int, int]]:
    """Return the cheapest rotation of one chord against another of the same size."""
    n = len(costs)
    best = min(range(n), key=lambda r: sum(costs[i][(i + r) % n] for i in range(n)))
    return [(i, (i + best) % n) for i in range(n)]


def _staircase(costs: list[list[int]]) -> list[tuple[int, int]]:
    """Return the cheapest closed staircase: all notes used, in order round the circle."""
    m = len(costs[0])
    paths = (_path(costs, first) for first in range(m))
    return min(paths, key=lambda path: path[0])[1]


def _path(costs: list[list[int]], first: int) -> tuple[int, list[tuple[int, int]]]:
    """Return the cheapest staircase that leaves (0, first) and comes round to it.

    Row n stands for note 0 again and column first + m for note ``first``; the last place is the
    first one again, so it costs nothing.
    """
    n, m = len(costs), len(costs[0])
    price = [[costs[i % n][(first + j) % m] for j in range(m + 1)] for i in range(n + 1)]
    price[n][m] = 0
    total = [[0] * (m + 1) for _ in range(n + 1)]
    came: dict[tuple[int, int], tuple[int, int]] = {}
    for i in range(n + 1):
        for j in range(m + 1):
            before = [(i - 1, j - 1), (i - 1, j), (i, j - 1)]
            reached = [place for place in before if min(place) >= 0]
            if reached:
                came[i, j] = min(reached, key=lambda place: total[place[0]][place[1]])
            start = total[came[i, j][0]][came[i, j][1]] if reached else 0
            total[i][j] = start + price[i][j]
    pairs = []
    place = came[n, m]
    while True:
        pairs.append((place[0] % n, (first + place[1]) % m))
        if place == (0, 0):
            return total[n][m], pairs
        place = came[place]
