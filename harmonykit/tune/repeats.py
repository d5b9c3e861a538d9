"""Repeats and their endings: how often bars are played, and what differs at their end.

- A repeated part that closes without having opened starts after the part before, at a coda, or
  where its section does.
- A pick-up that no sign opens is played again only where the bar that closes has room for it.
- An ending is played in the passes that it names.  After a lone ending that goes back, the next
  pass leaves it out.

Common practice of engravers and players, no source, where no standard is named.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from harmonykit.tune.bar import Bar, bar_length

MOST_TIMES = 64


@dataclass(frozen=True, slots=True)
class Ending:
    """Bars that are played in some passes of their repeat alone, counted from 1.

    Parameters
    ----------
    numbers : tuple of int
        The passes in which it is played, from 1.
    first : int
        Index of its first bar.
    stop : int
        Index of the bar after its last.
    """

    numbers: tuple[int, ...]
    first: int
    stop: int


@dataclass(frozen=True, slots=True)
class Repeat:
    """Bars that are played several times, with what differs at their end.

    Parameters
    ----------
    first : int
        Index of its first bar.
    stop : int
        Index of the bar after its last.
    times : int
        How often it is played in all.
    endings : tuple of Ending
    """

    first: int
    stop: int
    times: int
    endings: tuple[Ending, ...] = ()

    def plays(self, bar: int, time: int) -> bool:
        """Return whether a bar is played in a pass.

        Parameters
        ----------
        bar : int
            Its place among the bars as written, from 0.
        time : int
            Which pass, from 1.

        Returns
        -------
        bool

        Examples
        --------
        >>> first, second = hk.tune.Ending((1,), 3, 4), hk.tune.Ending((2,), 4, 5)
        >>> repeat = hk.tune.Repeat(0, 5, 2, (first, second))
        >>> [bar for bar in range(5) if repeat.plays(bar, 2)]
        [0, 1, 2, 4]
        """
        return all(
            time in ending.numbers for ending in self.endings if ending.first <= bar < ending.stop
        )


def repeats_of(bars: Sequence[Bar], base: int) -> Iterator[Repeat]:
    """Yield the repeats of a section whose first bar has the place ``base`` in the tune."""
    start = index = 0
    while index < len(bars):
        bar = bars[index]
        if bar.opens or "coda" in bar.signs:
            start = index
        if bar.ending:
            stop = index + 1
            while stop < len(bars) and bars[stop].ending and not bars[stop].opens:
                stop += 1
            endings = tuple(_endings_of(bars, index, stop, base))
            times = _times(bars[stop - 1], endings)
            start += _past_pickup(bars, start, bars[endings[0].stop - base - 1])
            yield Repeat(base + start, base + stop, times, endings)
            start = index = stop
            continue
        index += 1
        if bar.closes:
            start += _past_pickup(bars, start, bar)
            yield Repeat(base + start, base + index, bar.closes)
            start = index


def _past_pickup(bars: Sequence[Bar], start: int, last: Bar) -> int:
    """Return 1 where a repeat from a pick-up begins after it, else 0."""
    first = bars[start]
    pickup = not start and not first.opens and first.length < bar_length(first.meter)
    return int(pickup and first is not last and first.length > bar_length(last.meter) - last.length)


def _endings_of(bars: Sequence[Bar], first: int, stop: int, base: int = 0) -> Iterator[Ending]:
    start = first
    for index in range(first, stop):
        after = bars[index + 1] if index + 1 < stop else None
        if after is None or bars[index].closes or after.ending != bars[index].ending:
            yield Ending(bars[index].ending, base + start, base + index + 1)
            start = index + 1


def endings_side_by_side(bars: Sequence[Bar]) -> Iterator[tuple[Ending, ...]]:
    """Yield the endings of each repeat that has any, by their places among the bars.

    Examples
    --------
    >>> from fractions import Fraction
    >>> plain = Bar(0, (4, 4), Fraction(4))
    >>> row = [plain, Bar(0, (4, 4), Fraction(4), ending=(1, 2), closes=2)]
    >>> [[(one.numbers, one.first) for one in found] for found in endings_side_by_side(row)]
    [[((1, 2), 1)]]
    """
    for repeat in repeats_of(bars, 0):
        if repeat.endings:
            yield repeat.endings


def endings_fault(bars: Sequence[Bar]) -> tuple[int, str] | None:
    """Return the index of the first ending that is not in order, and what is wrong with it.

    The endings of a repeat serve each pass from 1 once, and each but the last goes back: by a
    repeat sign, or by a jump.
    """
    for endings in endings_side_by_side(bars):
        taken: set[int] = set()
        for ending in endings:
            if again := taken.intersection(ending.numbers):
                return (
                    ending.first,
                    f"ending {_said(ending)}: pass {min(again)} has an ending already",
                )
            taken |= set(ending.numbers)
        for ending in endings:
            due = next(n for n in range(1, max(taken) + 2) if n not in taken)
            if due < max(ending.numbers):
                return ending.first, f"ending {_said(ending)} begins where [{due} is due"
        for ending, after in pairwise(endings):
            last = bars[ending.stop - 1]
            if not last.closes and not last.jump:
                return after.first, f"the ending before {_said(after)} does not close with :|"
    return None


def _said(ending: Ending) -> str:
    return f"[{','.join(map(str, ending.numbers))}"


def _times(last: Bar, endings: Sequence[Ending]) -> int:
    """Return how often a part with endings is played; after a lone one that goes back, once more.

    Where several endings are there, a sign after the last of them repeats nothing: tunes are
    written so where the next part opens (ABC standard 2.1, 4.9: an ending may end with ``:|``).
    """
    most = max(max(ending.numbers) for ending in endings)
    lone = len(endings) == 1 and (last.closes or last.jump)
    return max(most + 1, last.closes) if lone else most
