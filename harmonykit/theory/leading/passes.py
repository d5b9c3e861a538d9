"""The cheapest ways through layers that are known whole: one pass on, one back, then the few left.

On the way on, each choice learns what it costs to reach it; on the way back, what it costs to go
on from it to an end.  The sum of both is the least that any way through the choice costs.  The k
best of different classes (``ways.Ways``) are sought among the choices for which that is no more
than a limit; where fewer than k are found within it, the limit is raised.  What is found is the
same as without any limit, among equals too: each way that is cheap enough passes through choices
that are kept, and they keep their order.

References
----------
Shortest paths by a pass on and a pass back: common practice of dynamic programming, Bellman 1957
as in ``ways``.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from harmonykit.theory.leading.ways import FOREVER, Costs, Place, Ways

_FIRST_MORE, _GROWS = 32, 4


@dataclass(frozen=True)
class Laid:
    """Layers of choices in order, each after those from which it can be reached.

    Parameters
    ----------
    own : list of array (choices,)
        What each choice costs by itself.
    before : list of list of (int, array)
        For each layer those from which it can be reached, with the costs (choices there, choices
        here); none for a first layer.
    ends : list of int
        The layers where a way may end.
    """

    own: list[Costs]
    before: list[list[tuple[int, Costs]]]
    ends: list[int]

    @cached_property
    def groups(self) -> list[list[tuple[Costs, list[int]]]]:
        """Return for each layer what the changes to it cost, and from which layers they do."""
        found = []
        for before in self.before:
            alike: dict[int, tuple[Costs, list[int]]] = {}
            for parent, edges in before:
                alike.setdefault(id(edges), (edges, []))[1].append(parent)
            found.append(list(alike.values()))
        return found


class Passes:
    """The ways through layers, at the prices of one search.

    Parameters
    ----------
    laid : Laid
    dear : sequence of int
        What each layer costs beside, whatever is chosen in it.
    progress : callable, optional
        Told the number of layers that are done and of all; what it raises ends the search.

    Examples
    --------
    >>> edges = np.array([[9, 9], [5, 2]])
    >>> laid = Laid([np.array([0, 1]), np.array([0, 0])], [[], [(0, edges)]], [1])
    >>> Passes(laid, [0, 0]).best()
    [(3, [(0, 1), (1, 1)])]
    """

    def __init__(
        self,
        laid: Laid,
        dear: Sequence[int],
        progress: Callable[[int, int], None] | None = None,
    ) -> None:
        self.laid, self._groups, self._progress = laid, laid.groups, progress
        self._own = [own + more if more else own for own, more in zip(laid.own, dear, strict=True)]
        self._reached = self._on()

    def best(self) -> list[tuple[int, list[Place]]]:
        """Return the cheapest way and what it costs, of equals the first; nothing if none is."""
        found = [(int(np.min(self._reached[end], initial=FOREVER)), end) for end in self.laid.ends]
        cost, layer = min(found, key=lambda each: each[0], default=(int(FOREVER), 0))
        if cost >= FOREVER:
            return []
        node = int(np.argmin(self._reached[layer]))
        way = [(layer, node)]
        while self.laid.before[layer]:
            layer, node = self._came(layer, node)
            way.append((layer, node))
        return [(cost, way[::-1])]

    def kinds(self, k: int, told: Callable[[int, int], Hashable]) -> list[tuple[int, list[Place]]]:
        """Return the k cheapest ways of different classes.

        Parameters
        ----------
        k : int
        told : callable
            Says by what a choice, given its layer and its place there, is told from others.
        """
        best = self.best()
        if k == 1 or not best:
            return best
        least = best[0][0]
        on = self._back()
        through = [a + b for a, b in zip(self._reached, on, strict=True)]
        most = max((int(np.max(each[each < FOREVER], initial=0)) for each in through), default=0)
        more = _FIRST_MORE
        while True:
            found = self._within(k, told, through, least + more)
            enough = len(found) == k and found[-1][0] <= least + more
            if enough or least + more >= most:
                return found
            more *= _GROWS

    def _on(self) -> list[Costs]:
        """Return what it costs to reach each choice, itself counted."""
        reached: list[Costs] = []
        for own, groups in zip(self._own, self._groups, strict=True):
            least = None
            for edges, parents in groups:
                first, *others = parents
                costs = reached[first]
                for other in others:
                    costs = np.minimum(costs, reached[other])
                here = (costs[:, None] + edges).min(axis=0, initial=FOREVER)
                least = here if least is None else np.minimum(least, here)
            costs = own if least is None else least + own
            reached.append(np.minimum(costs, FOREVER))
            if self._progress is not None:
                self._progress(len(reached), len(self._own))
        return reached

    def _back(self) -> list[Costs]:
        """Return what it costs to go on from each choice to an end, itself not counted."""
        on = [np.full(len(own), FOREVER) for own in self._own]
        for end in self.laid.ends:
            on[end][:] = 0
        for layer in reversed(range(len(on))):
            costs = np.minimum(on[layer] + self._own[layer], FOREVER)
            for edges, parents in self._groups[layer]:
                here = (edges + costs[None, :]).min(axis=1, initial=FOREVER)
                for parent in parents:
                    np.minimum(on[parent], here, out=on[parent])
        return on

    def _came(self, layer: int, node: int) -> Place:
        """Return the choice from which another is reached most cheaply, of equals the first."""
        costs = [
            (self._reached[parent] + edges[:, node], parent)
            for parent, edges in self.laid.before[layer]
        ]
        steps, parent = min(costs, key=lambda each: int(np.min(each[0], initial=FOREVER)))
        return parent, int(np.argmin(steps))

    def _within(
        self, k: int, told: Callable[[int, int], Hashable], through: list[Costs], limit: int
    ) -> list[tuple[int, list[Place]]]:
        """Return the k cheapest ways of different classes through choices within a limit."""
        ways, places, numbers = Ways(k), list[tuple[int, NDArray[np.intp]]](), dict[int, int]()
        for layer, costs in enumerate(through):
            here = np.flatnonzero(costs <= limit)
            if not len(here):
                continue
            before = [
                (numbers[parent], edges[np.ix_(places[numbers[parent]][1], here)])
                for parent, edges in self.laid.before[layer]
                if parent in numbers
            ]
            words = [told(layer, node) for node in here.tolist()]
            numbers[layer] = ways.add(self._own[layer][here], before, words)
            places.append((layer, here))
        ends = [numbers[end] for end in self.laid.ends if end in numbers]
        return [
            (cost, [(places[number][0], int(places[number][1][node])) for number, node in way])
            for cost, way in ways.best(ends)
        ]
