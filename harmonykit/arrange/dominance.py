"""What no other is as good as, in several measures at once; all of them are to be small."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

import numpy as np
from numpy.typing import NDArray

Labels = NDArray[np.int64]
"""Rows of a group's number and three measures."""


def undominated(labels: Labels) -> NDArray[np.int64]:
    """Return the rows than which none of the same first column is as good in the other three.

    Of equal rows the first stays.

    Examples
    --------
    >>> undominated(np.array([[0, 1, 5, 1], [0, 2, 5, 0], [0, 2, 5, 1], [1, 9, 9, 9]])).tolist()
    [0, 1, 3]
    """
    order = np.lexsort((labels[:, 2], labels[:, 1], labels[:, 3], labels[:, 0]))
    kept: list[int] = []
    shape, steps = -1, _Staircase()
    rows = labels[order].tolist()
    for row, (node, first, second, _) in zip(order.tolist(), rows, strict=True):
        if node != shape:
            shape, steps = node, _Staircase()
        if steps.add(first, second):
            kept.append(row)
    return np.array(sorted(kept), dtype=np.int64)


class _Staircase:
    """Pairs of which none is as good as another in both, the first rising, the second falling."""

    def __init__(self) -> None:
        self._first: list[int] = []
        self._second: list[int] = []

    def add(self, first: int, second: int) -> bool:
        """Put a pair in, unless one there is as good in both; drop those that it beats."""
        place = bisect_right(self._first, first)
        if place and self._second[place - 1] <= second:
            return False
        start = bisect_left(self._first, first)
        end = start
        while end < len(self._second) and self._second[end] >= second:
            end += 1
        self._first[start:end] = [first]
        self._second[start:end] = [second]
        return True
