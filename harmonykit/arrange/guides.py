"""Guide tones and outer voices between shapes: what a seventh does, and bass against top.

Over roots that fall a fifth the seventh of a chord goes by step, or stays, to the third of the next
in one voice: along a string, or between voices of one place from the lowest up.  (Common practice,
no source.)

Conventions.  Pitches are MIDI numbers: arrays (shapes, strings), -1 where muted, or of each shape a
sorted tuple.  What is returned is an array (shapes before, shapes after).
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.staircase import Notes

Pitches = NDArray[np.int64]
Mask = NDArray[np.bool_]

_FIFTH, _STEP = 7, 2
_SEVENTHS, _THIRDS = (10, 11), (3, 4)


def third_below(before: Chord | None, after: Chord | None) -> tuple[int, int] | None:
    """Return the seventh of a chord and the third of the next, a fifth below, if they are so.

    Examples
    --------
    >>> third_below(Chord.parse("G7"), Chord.parse("C6"))
    (5, 4)
    >>> third_below(Chord.parse("G7"), Chord.parse("Am"))
    """
    if before is None or after is None:
        return None
    root, goal = before.root.pitch_class, after.root.pitch_class
    own, others = before.semitones, after.semitones
    seventh = next((n for n in _SEVENTHS if n in own), None)
    third = next((n for n in _THIRDS if n in others), None)
    told = any(n in own for n in _THIRDS)
    if (root - goal) % 12 != _FIFTH or seventh is None or third is None or not told:
        return None
    return (root + seventh) % 12, (goal + third) % 12


def led(
    before: tuple[Pitches, Sequence[Notes]],
    after: tuple[Pitches, Sequence[Notes]],
    goal: tuple[int, int],
) -> Mask:
    """Return between which shapes a voice goes from one pitch class to another by step.

    Parameters
    ----------
    before, after : (array, sequence of tuple)
        Pitches by string, and sorted.
    goal : tuple of int
        The pitch class that is left, and the one that is reached.

    Examples
    --------
    >>> seventh = np.array([[67, 62, 65, 71]]), [(62, 65, 67, 71)]
    >>> near, far = [67, 60, 64, 72], [67, 64, 67, 72]
    >>> thirds = np.array([near, far]), [tuple(sorted(each)) for each in (near, far)]
    >>> led(seventh, thirds, (5, 4)).tolist()
    [[True, False]]
    """
    found = _by_step(before[0], after[0], goal)
    sizes = {len(notes) for notes in (*before[1], *after[1])}
    if len(sizes) == 1:
        low, high = (np.array(each[1], dtype=np.int64) for each in (before, after))
        found |= _by_step(low, high, goal)
    return found


def _by_step(before: Pitches, after: Pitches, goal: tuple[int, int]) -> Mask:
    leaves = (before >= 0) & (before % 12 == goal[0])
    comes = (after >= 0) & (after % 12 == goal[1])
    found: Mask = np.zeros((len(before), len(after)), dtype=bool)
    # A string at a time: numpy takes far longer along an axis as short as four or six.
    for left, leaving, reached, coming in zip(before.T, leaves.T, after.T, comes.T, strict=True):
        near = np.abs(left[:, None] - reached) <= _STEP
        found |= leaving[:, None] & coming & near
    return found


def same_way(before: Sequence[Notes], after: Sequence[Notes]) -> Mask:
    """Return at which changes the lowest and the highest pitch go the same way.

    Examples
    --------
    >>> same_way([(48, 64)], [(50, 65), (47, 65), (48, 67)]).tolist()
    [[True, False, False]]
    """
    gaps = [
        np.array([notes[place] for notes in after])[None, :]
        - np.array([notes[place] for notes in before])[:, None]
        for place in (0, -1)
    ]
    found: Mask = gaps[0] * gaps[1] > 0
    return found
