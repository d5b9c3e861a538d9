"""The cheapest staircase down a matrix of prices, on which voices that do not cross are matched.

A row stands for a note of one chord, a column for a note of the other, a place for a voice between
them.  A staircase runs from the first corner to the last; each step advances one chord, the other,
or both by one note, so that every note has a voice.  A price is a number, or an array with a number
for each of many pairs of chords.  Sorted chords of pitches are matched on it as they are; round the
circle of pitch classes it is closed (``matching``).
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import accumulate
from typing import Any

Notes = tuple[int, ...]
Pair = tuple[int, int]
Price = Any
"""A number, or an array of numbers."""
Least = Callable[[Iterable[Price]], Price]


def totals(prices: Iterable[Sequence[Price]], least: Least = min) -> Iterator[list[Price]]:
    """Give, row by row, the price of the cheapest staircase from the first corner to each place.

    Parameters
    ----------
    prices : iterable of rows
        All of one length.
    least : callable
        The least of several prices.

    Examples
    --------
    >>> list(totals([[1, 5], [1, 1], [9, 2]]))
    [[1, 6], [2, 2], [11, 4]]
    """
    above: list[Price] = []
    for row in prices:
        if not above:
            line = list(accumulate(row))
        else:
            price = row[0] + above[0]
            line = [price]
            for j in range(1, len(row)):
                price = row[j] + least((price, above[j - 1], above[j]))
                line.append(price)
        yield line
        above = line


def total(prices: Iterable[Sequence[Price]], least: Least = min) -> Price:
    """Return the price of the cheapest staircase.

    Examples
    --------
    >>> total([[1, 5], [1, 1], [9, 2]])
    4
    """
    line: list[Price] = []
    for line in totals(prices, least):  # noqa: B007
        pass
    return line[-1]


def cheapest(prices: Iterable[Sequence[int]]) -> list[Pair]:
    """Return the places of a cheapest staircase, from the first corner to the last.

    Examples
    --------
    >>> cheapest([[1, 5], [1, 1], [9, 2]])
    [(0, 0), (1, 0), (2, 1)]
    """
    return way_back(list(totals(prices)))[::-1]


def way_back(reached: Sequence[Sequence[int]]) -> list[Pair]:
    """Return the places of a cheapest staircase from the last corner to the first.

    Of equals the step that advances both chords comes first, then the one that advances the rows.

    Parameters
    ----------
    reached : rows of numbers
        As ``totals`` gives them.
    """
    i, j = len(reached) - 1, len(reached[0]) - 1
    places = [(i, j)]
    while i or j:
        behind = [(i - 1, j - 1), (i - 1, j), (i, j - 1)]
        i, j = min((at for at in behind if min(at) >= 0), key=lambda at: reached[at[0]][at[1]])
        places.append((i, j))
    return places


def pair_semitones(before: Notes, after: Notes) -> int:
    """Return the least semitones between two sorted chords of pitches, see ``voice_pairs``.

    Examples
    --------
    >>> pair_semitones((60, 64, 67), (60, 65, 69)), pair_semitones((60, 64, 67), (59, 62, 65, 67))
    (3, 4)
    """
    return sum(abs(low - high) for low, high in voice_pairs(before, after))


def voice_pairs(before: Notes, after: Notes) -> list[Pair]:
    """Return which pitch goes to which in a way of the least semitones, from the lowest up.

    Each voice goes to one voice where there are as many.  Elsewhere each note of both chords takes
    part at least once.

    Examples
    --------
    >>> voice_pairs((60, 64, 67), (59, 62, 65, 67))
    [(60, 59), (60, 62), (64, 65), (67, 67)]
    """
    if len(before) == len(after):
        return list(zip(before, after, strict=True))
    gaps = [[abs(low - high) for high in after] for low in before]
    return [(before[i], after[j]) for i, j in cheapest(gaps)]
