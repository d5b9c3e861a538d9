"""The arithmetic of ``harmonykit.theory.leading.matching`` on whole arrays of chords at once.

Conventions.  The chords of an array all have the same number of notes: one row a chord, sorted
pitch classes.  A *plane* holds one price for each pair of a chord of a and a chord of b.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.theory.leading.matching import SIZES, Notes

Array = NDArray[Any]
Cells = list[list[Array]]

_BLOCK = 1 << 18  # distances computed at once: some megabytes


def least_all(
    rows: Sequence[Notes], columns: Sequence[Notes], norm: float, doubling: bool
) -> Array:
    """Return ``matching.least`` of every chord of ``rows`` with every chord of ``columns``.

    Pairs of different sizes are matched with doubling.

    Examples
    --------
    >>> least_all([(0, 4, 7)], [(0, 4, 8), (0, 3, 6, 9)], 2, False).tolist()
    [[1, 6]]
    """
    found = np.zeros((len(rows), len(columns)), dtype=np.int64)
    for here, a in _by_size(rows):
        for there, b in _by_size(columns):
            whole = doubling or a.shape[1] != b.shape[1]
            found[np.ix_(here, there)] = _between(a, b, norm, whole)
    return found


def _by_size(chords: Sequence[Notes]) -> Iterator[tuple[list[int], Array]]:
    """Give the chords of each size as one array, with their places."""
    for size in sorted({len(chord) for chord in chords}):
        places = [place for place, chord in enumerate(chords) if len(chord) == size]
        yield places, np.array([chords[place] for place in places], dtype=np.intp)


def _between(a: Array, b: Array, norm: float, doubling: bool) -> Array:
    """Return the least measures between chords of one size and chords of one size, squared for 2.

    Rows are taken in blocks, so that memory stays small whatever the number of chords.
    """
    if not a.shape[1]:
        return np.zeros((len(a), len(b)), dtype=np.int64)
    if a.shape[1] < b.shape[1]:
        return _between(b, a, norm, doubling).T
    step = max(1, _BLOCK // len(b))
    blocks = (a[first : first + step] for first in range(0, len(a), step))
    return np.concatenate([_block(block, b, norm, doubling) for block in blocks])


def _block(a: Array, b: Array, norm: float, doubling: bool) -> Array:
    price = np.array(SIZES) ** (2 if norm == 2 else 1)
    most = price.max() * (a.shape[1] + (b.shape[1] if doubling else 0))
    price = price.astype(np.min_scalar_type(most))  # mostly one byte: three times as fast
    # One plane for each note of a against each note of b: the price for all pairs of chords.
    # First from each of the twelve notes to b, so that a plane is made of whole copied rows.
    to_b = [price[:, right] for right in b.T]
    cells = [[prices[left] for prices in to_b] for left in a.T]
    together = np.maximum if norm == math.inf else np.add
    if not doubling:
        return reduce(np.minimum, (reduce(together, turn) for turn in _rotations(cells)))
    if norm == math.inf:
        return _farthest(cells)
    return reduce(np.minimum, (_staircase(cells, first) for first in range(len(cells[0]))))


def _rotations(cells: Cells) -> Iterator[list[Array]]:
    n = len(cells)
    return ([row[(i + turn) % n] for i, row in enumerate(cells)] for turn in range(n))


def _farthest(cells: Cells) -> Array:
    """Return the Hausdorff distance: each note goes to its nearest, and the farthest counts."""
    lines = [*cells, *zip(*cells, strict=True)]
    return reduce(np.maximum, (reduce(np.minimum, line) for line in lines))


def _staircase(cells: Cells, first: int) -> Array:
    """Return the cheapest closed staircases from the first note of a to note ``first`` of b.

    The same walk as ``matching.least``, on planes of chords instead of single prices.
    """
    m = len(cells[0])
    turned = [row[first:] + row[: first + 1] for row in cells]
    above: list[Array] = []
    for row in [*turned, turned[0]]:
        line = [row[0] + above[0] if above else row[0]]
        for j in range(1, m + 1):
            ways = [line[-1], *above[j - 1 : j + 1]]
            line.append(row[j] + reduce(np.minimum, ways))
        last, above = above, line
    # The closing corner is the first pair again, and free.
    return reduce(np.minimum, [above[m - 1], *last[m - 1 :]])
