"""Voice leading between kinds of chord: the second chord may be transposed as suits best.

Conventions are those of ``harmonykit.theory.leading.voiceleading``.  A *kind* is a chord without
regard to its transposition: how far is any minor seventh from any half-diminished?

References
----------
Joseph N. Straus, "Voice Leading in Set-Class Space", *Journal of Music Theory* 49/1 (2005) 45-108.
Clifton Callender, Ian Quinn and Dmitri Tymoczko, "Generalized Voice-Leading Spaces", *Science* 320
(2008) 346-348.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from harmonykit.errors import HarmonyError
from harmonykit.theory.leading.voiceleading import Chordlike, distance, notes


@dataclass(frozen=True, slots=True)
class KindDistance:
    """The least distance from a chord to the transpositions of another.

    Parameters
    ----------
    distance : int or float
        Semitones in the norm asked for.
    transpositions : tuple of int in 0..11
        All n for which Tn of the second chord is as near as that.

    Examples
    --------
    >>> near = kind_distance((0, 3, 6, 9), (0, 4, 7, 10))  # a diminished seventh to dominants
    >>> near.distance, near.transpositions
    (1, (2, 5, 8, 11))
    """

    distance: float
    transpositions: tuple[int, ...]


def kind_distance(
    a: Chordlike, b: Chordlike, norm: float = 1, doubling: bool = False
) -> KindDistance:
    """Return the least distance from a chord to a transposition of another, and by how much.

    Examples
    --------
    >>> kind_distance((0, 4, 7), (0, 3, 7))  # C major to its own, third-related minor chords
    KindDistance(distance=1, transpositions=(0, 4))
    """
    moved = notes(b)
    distances = [distance(a, [pc + n for pc in moved], norm, doubling) for n in range(12)]
    least = min(distances)
    return KindDistance(least, tuple(n for n, away in enumerate(distances) if away == least))


def shape_distance(a: Chordlike, b: Chordlike) -> float:
    """Return the least distance by norm 2 when the second chord may move by any real amount.

    Only the shapes count then: of the displacements their common part is free, and what is left is
    their spread about its mean.

    Parameters
    ----------
    a, b
        Chords of the same number of notes.

    Returns
    -------
    float
        Semitones.

    Raises
    ------
    HarmonyError
        If the sizes differ.

    Examples
    --------
    >>> round(shape_distance((0, 4, 7), (0, 3, 7)) ** 2, 6)  # one voice of three moves by 1
    0.666667
    """
    one, other = notes(a), notes(b)
    if len(one) != len(other):
        raise HarmonyError(
            f"shapes of {len(one)} and {len(other)} notes do not compare",
            rule="both chords need the same number of notes",
            mend="kind_distance, which doubles notes",
        )
    n = len(one)
    if n == 0:
        return 0.0
    two_octaves = other + tuple(pc + 12 for pc in other)
    turns = [[two_octaves[turn + i] - pc for i, pc in enumerate(one)] for turn in range(n)]
    squares = [n * sum(d * d for d in turn) - sum(turn) ** 2 for turn in turns]
    return math.sqrt(min(squares) / n)
