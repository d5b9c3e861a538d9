"""How a shape goes on from a walk: by a step of the scale, or by one of three endings.

A diminished seventh that leads to a chord is left in one of three ways, told by what the strings
do (common practice, no source):

- *parallel from below*: every string rises by a step of the chord's scale; the leading tone
  resolves, and the seventh rises with the block;
- *parallel from above*: every string falls by a step; seventh and flat ninth resolve, and the
  leading tone falls to the sixth;
- *resolved*: the leading tone rises (or stays, as a major seventh), seventh and flat ninth fall,
  and the fifth goes to a neighbour.

Conventions.  Arrays are (shapes before, shapes after); the seventh, the ninth and so on are those
of the dominant whose root is left out: over the leading tone they lie 6 and 9 semitones up.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.costs import Shapes
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.scale import SixthDiminished

BELOW, ABOVE, RESOLVED = "parallel from below", "parallel from above", "resolved"
ENDINGS = (BELOW, ABOVE, RESOLVED)

Mask = NDArray[np.bool_]

_PITCHES, _THREE = 128, 3
# What a voice may do, in semitones, by how far it lies above the leading tone.
_GOALS = {0: (1, 0), 3: (-2, -1, 0, 1, 2), 6: (-1, -2), 9: (-1,)}


@lru_cache(maxsize=1024)
def steps(before: Shapes, after: Shapes, scale: SixthDiminished, way: int) -> Mask:
    """Return which shapes lie a scale step above (1) or below (-1) which, on every string.

    Examples
    --------
    >>> from harmonykit.arrange.costs import Weights
    >>> from harmonykit.fretboard.hands.limits import Limits
    >>> texts = ("2222",), ("3434", "1212")
    >>> rows = [tuple(Voicing.parse(text, "ukulele") for text in row) for row in texts]
    >>> low, high = (Shapes(row, Weights(), Limits()) for row in rows)
    >>> steps(low, high, SixthDiminished("D", "major"), 1).tolist()
    [[True, False]]
    """
    table = _table(scale, way)
    # Muted strings stay so; a pitch outside the scale goes nowhere.
    muted = before.pitches < 0
    moved = np.where(muted, -1, table[before.pitches])
    lost = (~muted & (moved < 0)).any(axis=1)
    same: Mask = (moved[:, None, :] == after.pitches[None, :, :]).all(axis=2)
    found: Mask = np.logical_and(same, ~np.asarray(lost)[:, None])
    return found


@lru_cache(maxsize=512)
def _table(scale: SixthDiminished, way: int) -> NDArray[np.int64]:
    """Return where a step of a scale leads from each pitch; -1 from what is outside."""
    table = np.full(_PITCHES + 1, -1, dtype=np.int64)
    inside = scale.pcs
    for pitch in range(_PITCHES):
        if pitch % 12 in inside:
            table[pitch] = scale.step(pitch, way)
    return table


@lru_cache(maxsize=1024)
def resolved(before: Shapes, after: Shapes, leading: int) -> Mask:
    """Return which shapes resolve to which: each voice on its string to where its note tends.

    Parameters
    ----------
    before, after : Shapes
    leading : int
        The pitch class of the leading tone.

    Examples
    --------
    >>> from harmonykit.arrange.costs import Weights
    >>> from harmonykit.fretboard.hands.limits import Limits
    >>> texts = ("1212",), ("0003", "0000")
    >>> rows = [tuple(Voicing.parse(text, "ukulele") for text in row) for row in texts]
    >>> low, high = (Shapes(row, Weights(), Limits()) for row in rows)
    >>> resolved(low, high, 11).tolist()
    [[True, False]]
    """
    sounds = (before.pitches >= 0)[:, None, :]
    same = sounds == (after.pitches >= 0)[None, :, :]
    gaps = after.pitches[None, :, :] - before.pitches[:, None, :]
    roles = ((before.pitches - leading) % 12)[:, None, :]
    lawful = np.zeros(gaps.shape, dtype=bool)
    for role, goals in _GOALS.items():
        lawful |= (roles == role) & np.isin(gaps, goals)
    moves = ((gaps != 0) & sounds).any(axis=2)
    found: Mask = ((lawful | ~sounds) & same).all(axis=2) & moves
    return found


def all_one_way(before: Shapes, after: Shapes, ways: Iterable[int]) -> Mask:
    """Return which shapes go to which by every string up (1) or down (-1), three frets at most.

    Examples
    --------
    >>> from harmonykit.arrange.costs import Weights
    >>> from harmonykit.fretboard.hands.limits import Limits
    >>> texts = ("2435",), ("3546", "3434")
    >>> rows = [tuple(Voicing.parse(text, "ukulele") for text in row) for row in texts]
    >>> low, high = (Shapes(row, Weights(), Limits()) for row in rows)
    >>> all_one_way(low, high, (1, -1)).tolist()
    [[True, False]]
    """
    sounds = (before.pitches >= 0)[:, None, :]
    same = (sounds == (after.pitches >= 0)[None, :, :]).all(axis=2)
    gaps = after.pitches[None, :, :] - before.pitches[:, None, :]
    found = np.zeros(same.shape, dtype=bool)
    for way in ways:
        near = (way * gaps > 0) & (way * gaps <= _THREE)
        found |= same & (near | ~sounds).all(axis=2)
    return found


def ending_of(before: Voicing, after: Voicing, scale: SixthDiminished, leading: int) -> str:
    """Return the ending by which a shape goes on to another, or nothing where it is none.

    Examples
    --------
    >>> shapes = [Voicing.parse(digits, "ukulele") for digits in ("1212", "0000", "0003", "2433")]
    >>> [ending_of(shapes[0], shape, SixthDiminished("C", "major"), 11) for shape in shapes[1:]]
    ['parallel from above', 'resolved', 'parallel from below']
    """
    if [a is None for a in before.frets] != [b is None for b in after.frets]:
        return ""
    pairs = list(zip(before.sounding, after.sounding, strict=True))
    for name, way in ((BELOW, 1), (ABOVE, -1)):
        if all(low % 12 in scale.pcs and scale.step(low, way) == high for low, high in pairs):
            return name
    moves = any(low != high for low, high in pairs)
    goes = all(high - low in _GOALS.get((low - leading) % 12, ()) for low, high in pairs)
    return RESOLVED if moves and goes else ""
