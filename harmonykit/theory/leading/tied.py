"""The cheapest choices where places come again and take the same choice: exact, by elimination.

A row of places with one choice each costs what each choice costs and what each change from a place
to the next costs.  Where a place comes again, as in a repeat or a loop, its choice is the same each
time, so the row is no chain any more: the places are taken out one after the other, the one with
the fewest neighbours first, and the cheapest choice of each is kept for every choice of its
neighbours.  Costs are whole numbers.

References
----------
Umberto Bertelè and Francesco Brioschi, *Nonserial Dynamic Programming*, Academic Press 1972.
"""

from collections.abc import Mapping, Sequence
from math import prod

import numpy as np
from numpy.typing import NDArray

from harmonykit.values import dataclass

Costs = NDArray[np.int64]

# A table of so many numbers is made in some milliseconds; tunes that repeat as tunes do need less.
_MOST = 1 << 18


@dataclass(slots=True, eq=False)
class _Table:
    """What the choices of some places cost together; an axis for each place, in order."""

    places: tuple[int, ...]
    costs: Costs


@dataclass(slots=True, eq=False)
class _Taken:
    """A place that was taken out: its cheapest choice for each choice of its neighbours."""

    place: int
    neighbours: tuple[int, ...]
    choices: Costs


def cheapest(
    own: Sequence[Costs], changes: Mapping[tuple[int, int], Costs], most: int = _MOST
) -> list[int]:
    """Return the choice of each place such that all costs together are the least.

    Parameters
    ----------
    own : sequence of array (choices,)
        What each choice of a place costs by itself.
    changes : mapping of (int, int) to array (choices there, choices here)
        What each change between two places costs, in all the times that it comes.
    most : int
        How many numbers a table may have; where one would have more, the place with the most
        neighbours takes what looks cheapest by itself.

    Returns
    -------
    list of int

    Examples
    --------
    Two places that come in turn cost least where they choose alike.

    >>> unlike = np.array([[0, 5], [5, 0]])
    >>> cheapest([np.array([0, 1]), np.array([3, 0])], {(0, 1): unlike, (1, 0): unlike})
    [1, 1]
    """
    tables = _Tables(own, changes)
    # What has no choice ties nothing: no table gets an axis for it.
    taken = [tables.settle(place) for place, costs in enumerate(own) if len(costs) == 1]
    while tables.sizes:
        place = min(tables.sizes, key=tables.sizes.__getitem__)
        if tables.sizes[place] > most:
            place = max(tables.sizes, key=lambda one: len(tables.neighbours(one)))
            taken.append(tables.settle(place))
        else:
            taken.append(tables.take_out(place))
    found = [0] * len(own)
    for one in reversed(taken):
        found[one.place] = int(one.choices[tuple(found[other] for other in one.neighbours)])
    return found


class _Tables:
    """The tables that are left, by the places that they are about.

    ``sizes`` has for each place how many numbers the table has that is made when it is taken out.
    """

    def __init__(self, own: Sequence[Costs], changes: Mapping[tuple[int, int], Costs]) -> None:
        self.counts = [len(costs) for costs in own]
        self.of: dict[int, list[_Table]] = {place: [] for place in range(len(own))}
        for place, costs in enumerate(own):
            self._add(_Table((place,), costs))
        for (a, b), costs in changes.items():
            if a == b:
                self._add(_Table((a,), costs.diagonal()))
            else:
                self._add(_Table((a, b), costs) if a < b else _Table((b, a), costs.T))
        self.sizes = {place: self._size(place) for place in self.of}

    def _add(self, table: _Table) -> None:
        for place in table.places:
            self.of[place].append(table)

    def neighbours(self, place: int) -> tuple[int, ...]:
        """The places that some table ties to a place."""
        return tuple(sorted({one for table in self.of[place] for one in table.places} - {place}))

    def _size(self, place: int) -> int:
        return prod(self.counts[one] for one in (place, *self.neighbours(place)))

    def take_out(self, place: int) -> _Taken:
        """Take a place out: the table of its neighbours stays, each number the least over it."""
        neighbours = self.neighbours(place)
        axes = (*neighbours, place)
        costs = np.zeros([self.counts[one] for one in axes], dtype=np.int64)
        for table in self._gone(place):
            costs += _spread(table, axes)
        least: Costs = np.asarray(costs.min(axis=-1))
        self._left([_Table(neighbours, least)] if neighbours else [], neighbours)
        return _Taken(place, neighbours, np.asarray(costs.argmin(axis=-1)))

    def settle(self, place: int) -> _Taken:
        """Give a place the choice that looks cheapest, whatever its neighbours choose."""
        neighbours, gone = self.neighbours(place), self._gone(place)
        choice = int(np.argmin(np.stack([_least(table, place) for table in gone]).sum(axis=0)))
        rest = [_without(table, place, choice) for table in gone if len(table.places) > 1]
        self._left(rest, neighbours)
        return _Taken(place, (), np.array(choice))

    def _gone(self, place: int) -> list[_Table]:
        gone = self.of.pop(place)
        del self.sizes[place]
        for table in gone:
            for other in table.places:
                if other != place:
                    self.of[other].remove(table)
        return gone

    def _left(self, tables: Sequence[_Table], neighbours: tuple[int, ...]) -> None:
        for table in tables:
            self._add(table)
        for other in neighbours:
            self.sizes[other] = self._size(other)


def _spread(table: _Table, axes: tuple[int, ...]) -> Costs:
    """Return a table with an axis for each of some places, one long where it is not about it."""
    order = sorted(range(len(table.places)), key=lambda axis: axes.index(table.places[axis]))
    costs = table.costs.transpose(order)
    shape = iter(costs.shape)
    return costs.reshape([next(shape) if place in table.places else 1 for place in axes])


def _least(table: _Table, place: int) -> Costs:
    """Return the least that a table has for each choice of a place."""
    axis = table.places.index(place)
    others = tuple(other for other in range(len(table.places)) if other != axis)
    least: Costs = table.costs.min(axis=others)
    return least


def _without(table: _Table, place: int, choice: int) -> _Table:
    """Return a table for one choice of a place."""
    rest, axis = tuple(one for one in table.places if one != place), table.places.index(place)
    return _Table(rest, np.take(table.costs, [choice], axis=axis).squeeze(axis=axis))
