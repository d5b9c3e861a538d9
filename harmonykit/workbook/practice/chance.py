"""Chance from a seed: the same picks on every machine and in every version of Python.

Each pick is read off a hash of the seed's text and of how many picks came before.
"""

from collections.abc import Sequence
from hashlib import sha256
from typing import TypeVar

T = TypeVar("T")


class Chance:
    """A row of picks that follows from a text alone.

    Parameters
    ----------
    seed : str

    Examples
    --------
    >>> chance = Chance("harbour")
    >>> [chance.pick("CDEFGAB") for _ in range(5)]
    ['B', 'B', 'A', 'G', 'D']
    >>> Chance("harbour").some("CDEFGAB", 3)
    ['B', 'C', 'G']
    """

    def __init__(self, seed: str) -> None:
        self._seed, self._picks = seed, 0

    def below(self, limit: int) -> int:
        """Return a whole number from 0 to below a limit."""
        self._picks += 1
        digest = sha256(f"{self._seed}/{self._picks}".encode()).digest()
        return int.from_bytes(digest[:8], "big") % limit

    def pick(self, items: Sequence[T]) -> T:
        """Return one of some items."""
        return items[self.below(len(items))]

    def some(self, items: Sequence[T], count: int) -> list[T]:
        """Return several different items, in the order in which they were picked."""
        left, taken = list(items), []
        for _ in range(min(count, len(left))):
            taken.append(left.pop(self.below(len(left))))
        return taken

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """Return all items in another order."""
        return self.some(items, len(items))
