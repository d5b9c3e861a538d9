"""The cheapest ways through layers that are known whole: one pass on, one back, then the few left.

On the way on, each choice learns what it costs to reach it; on the way back, what it costs to go
on from it to an end.  The sum of both is the least that any way through the choice costs.  The k
best of different classes (``ways.Ways``) are sought among the choices for which that is no more
than a limit; where fewer than k are found within it, the limit is raised.  What is found is the
same as without any limit, among equals too: each way that is cheap enough passes through choices
that are kept, and they keep their order.

What was gone through already is not gone through anew: where the same layers were at other prices,
or a layer has a *twin* before it, as in music that comes again, with the same choices and parents
as far before it, and all parents cost the same more than those, it costs that much more itself.

A way may *remember* something beside its choice (``remembered``).

References
----------
Shortest paths by a pass on and a pass back: common practice of dynamic programming, Bellman 1957
as in ``ways``.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence, Set

import numpy as np
from numpy.typing import NDArray

from harmonykit.theory.leading.laid import Laid
from harmonykit.theory.leading.ways import FOREVER, Costs, Place, Ways

_GROWS = 4
_NOWHERE = int(FOREVER)
"""By so much more is reached what neither was nor is reached."""


class Passes:
    """The ways through layers, at the prices of one search.

    Parameters
    ----------
    laid : Laid
    dear : sequence of int
        What each layer costs beside, whatever is chosen in it.
    progress : callable, optional
        Told the number of layers that are done and of all; what it raises ends the search.
    before : Passes, optional
        The same layers at other prices: what costs the same more all over is not found anew.

    Examples
    --------
    >>> from harmonykit.theory.leading.remembered import Changes
    >>> changes = Changes(np.array([[9, 9], [5, 2]]))
    >>> laid = Laid([np.array([0, 1]), np.array([0, 0])], [[], [(0, changes)]], [1])
    >>> passes = Passes(laid, [0, 0])
    >>> passes.best()
    [(3, [(0, 1), (1, 1)])]
    >>> Passes(laid, [7, 0], before=passes).best()
    [(10, [(0, 1), (1, 1)])]
    """

    def __init__(
        self,
        laid: Laid,
        dear: Sequence[int],
        progress: Callable[[int, int], None] | None = None,
        before: Passes | None = None,
    ) -> None:
        self.laid, self._groups, self._progress = laid, laid.groups, progress
        self._states = len(laid.starts)
        self._dear = dear
        self._own = [
            own + more if more else own for own, more in zip(laid.placed, dear, strict=True)
        ]
        self._origins: dict[Place, Place] = {}
        self._reached: list[Costs] = []
        # The layers that cost the same more than a twin, and by how much layers cost more.
        self._like: dict[int, int] = {}
        self._by: dict[Place, int | None] = {}
        if before is not None and before.laid is laid:
            self._on_anew(before)
        else:
            self._on()

    def best(self) -> list[tuple[int, list[Place]]]:
        """Return the cheapest way and what it costs, of equals the first; nothing if none is."""
        found = [(int(np.min(self._reached[end], initial=FOREVER)), end) for end in self.laid.ends]
        cost, layer = min(found, key=lambda each: each[0], default=(int(FOREVER), 0))
        if cost >= FOREVER:
            return []
        at = layer, int(np.argmin(self._reached[layer].T))
        way = [at]
        while self.laid.before[at[0]]:
            at = self._origin(at)
            way.append(at)
        return [(cost, way[::-1])]

    def kinds(
        self, k: int, told: Callable[[int, int], Hashable], near: int = 0
    ) -> list[tuple[int, list[Place]]]:
        """Return the k cheapest ways of different classes.

        Parameters
        ----------
        k : int
        told : callable
            Says by what a place, given its layer and its number there, is told from others.
        near : int
            How many next costs of places are looked at first; as many as classes where not given.
        """
        best = self.best()
        if k == 1 or not best:
            return best
        through = [a + b for a, b in zip(self._reached, self._back(), strict=True)]
        whole = np.concatenate([costs.T.reshape(-1) for costs in through])
        costs = _distinct(whole[whole < FOREVER])
        # Of k classes the dearest seldom costs more than the k next costs of any place.
        rank = near or k
        while True:
            limit = int(costs[min(rank, len(costs) - 1)])
            found = self._within(k, told, whole, limit)
            if rank >= len(costs) - 1 or (len(found) == k and found[-1][0] <= limit):
                return found
            rank *= _GROWS

    def _on(self) -> None:
        """Find what it costs to reach each place, itself counted: (states, choices)."""
        heard: dict[tuple[object, ...], Costs] = {}
        for layer in range(len(self._own)):
            self._reached.append(self._reach(layer, heard))
            self._tell(layer)

    def _reach(self, layer: int, heard: dict[tuple[object, ...], Costs]) -> Costs:
        """Return what it costs to reach the places of a layer, by what was heard to its parents."""
        twin = self.laid.twins[layer]
        by = self._more_than(twin, layer) if twin >= 0 else None
        if by is not None:
            self._like[layer], self._by[twin, layer] = twin, by
            return _raised(self._reached[twin], by)
        own, least = self._own[layer], None
        for changes, parents in self._groups[layer]:
            key = (parents, changes.steps)
            if key not in heard:
                first, *others = parents
                costs = self._reached[first]
                for other in others:
                    costs = np.minimum(costs, self._reached[other])
                heard[key] = changes.steps.on(costs)
            here = changes.on(heard[key])
            least = here if least is None else np.minimum(least, here)
        return np.minimum(own if least is None else least + own, FOREVER)

    def _more_than(self, twin: int, layer: int) -> int | None:
        """Return how much more each place of a layer costs than those of its twin, if one sum."""
        apart = layer - twin
        found = set[int | None]()
        for parent, _ in self.laid.before[layer]:
            pair = parent - apart, parent
            if pair not in self._by:
                self._by[pair] = _all_more(*(self._reached[each] for each in pair))
            found.add(self._by[pair])
            if self._by[pair] is None:
                return None
        return _one_sum(found, self._dear[twin], self._dear[layer])

    def _on_anew(self, before: Passes) -> None:
        """Find the same by what it cost before; and keep where ways came from that go on so."""
        if list(self._dear) == list(before._dear):
            self._reached, self._origins, self._like = (
                before._reached,
                before._origins,
                before._like,
            )
            for layer in range(len(before._reached)):
                self._tell(layer)
            return
        heard: dict[tuple[object, ...], Costs] = {}
        more: list[int | None] = []
        kept = [False] * len(self._own)
        for layer, was in enumerate(before._reached):
            found = {more[parent] for parent, _ in self.laid.before[layer]}
            by = _one_sum(found, before._dear[layer], self._dear[layer])
            if by is None:
                self._reached.append(self._reach(layer, heard))
                by = _all_more(was, self._reached[layer])
            else:
                self._reached.append(_raised(was, by))
                kept[layer] = True
            more.append(by)
            self._tell(layer)
        self._origins = {at: came for at, came in before._origins.items() if kept[at[0]]}

    def _tell(self, layer: int) -> None:
        if self._progress is not None:
            self._progress(layer + 1, len(self._own))

    def _back(self) -> list[Costs]:
        """Return what it costs to go on from each place to an end, itself not counted."""
        on = [np.full(reached.shape, FOREVER) for reached in self._reached]
        for end in self.laid.ends:
            on[end][:] = 0
        for layer in reversed(range(len(on))):
            costs = np.minimum(on[layer] + self._own[layer], FOREVER)
            for changes, parents in self._groups[layer]:
                here = changes.back(costs)
                for parent in parents:
                    np.minimum(on[parent], here, out=on[parent])
        return on

    def _origin(self, at: Place) -> Place:
        """Return the place from which another is reached most cheaply, of equals the first."""
        if at not in self._origins:
            layer, place = at
            while layer in self._like:
                layer = self._like[layer]
            parent, before = self._came(layer, place)
            self._origins[at] = parent + at[0] - layer, before
        return self._origins[at]

    def _came(self, layer: int, place: int) -> Place:
        """Return the same for a place that was gone through."""
        node, state = divmod(place, self._states)
        costs = [
            (self._reached[parent] + changes.into(state, node), parent)
            for parent, changes in self.laid.before[layer]
        ]
        steps, parent = min(costs, key=lambda each: int(np.min(each[0], initial=FOREVER)))
        return parent, int(np.argmin(steps.T))

    def _within(
        self, k: int, told: Callable[[int, int], Hashable], through: Costs, limit: int
    ) -> list[tuple[int, list[Place]]]:
        """Return the k cheapest ways of different classes through places within a limit."""
        ways, places, numbers = Ways(k), list[tuple[int, NDArray[np.intp]]](), dict[int, int]()
        for layer, here in self._cut(np.flatnonzero(through <= limit)):
            before = [
                (numbers[parent], changes.between(places[numbers[parent]][1], here))
                for parent, changes in self.laid.before[layer]
                if parent in numbers
            ]
            words = [told(layer, place) for place in here.tolist()]
            own = np.broadcast_to(self._own[layer], self._reached[layer].shape)
            numbers[layer] = ways.add(own[here % self._states, here // self._states], before, words)
            places.append((layer, here))
        ends = [numbers[end] for end in self.laid.ends if end in numbers]
        return [
            (cost, [(places[number][0], int(places[number][1][node])) for number, node in way])
            for cost, way in ways.best(ends)
        ]

    def _cut(self, places: NDArray[np.intp]) -> list[tuple[int, NDArray[np.intp]]]:
        """Return places, counted through all layers, by layers, and counted in each."""
        starts = np.cumsum([0, *(reached.size for reached in self._reached)])
        layers = np.searchsorted(starts, places, side="right") - 1
        found, firsts = np.unique(layers, return_index=True)
        rows = np.split(places - starts[layers], firsts[1:])
        return list(zip(found.tolist(), rows, strict=True))


def _raised(costs: Costs, by: int) -> Costs:
    """Return what places cost that cost so much more, those left out that cannot be reached."""
    return costs if by in (0, _NOWHERE) else np.where(costs < FOREVER, costs + by, FOREVER)


def _one_sum(found: Set[int | None], before: int, dear: int) -> int | None:
    """Return how much more a layer costs whose parents cost so much more, and it so much itself.

    None where it is no one sum for all of its places.
    """
    there = [by for by in found if by != _NOWHERE]
    if found and not there:
        return _NOWHERE
    if len(there) > 1 or None in there or (dear != before and max(dear, before) >= FOREVER):
        return None
    return (there[0] or 0 if there else 0) + dear - before


def _distinct(costs: Costs) -> Costs:
    """Return each of some costs once, in order; one at least (``np.unique`` loads ``np.ma``)."""
    ordered = np.sort(costs)
    found: Costs = ordered[np.append(True, ordered[1:] != ordered[:-1])]
    return found


def _all_more(before: Costs, after: Costs) -> int | None:
    """Return by how much more all places cost, those left out that cannot be reached; or None."""
    if before is after:
        return 0
    more = after - before
    by = int(more[0, 0])
    if max(int(before[0, 0]), int(after[0, 0])) < FOREVER and bool((more == by).all()):
        return by
    there = before < FOREVER
    if not np.array_equal(there, after < FOREVER):
        return None
    more = more[there]
    if not len(more):
        return _NOWHERE
    by = int(more[0])
    return by if bool((more == by).all()) else None
