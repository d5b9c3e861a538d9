"""The cheapest ways through layers of choices, one choice a layer: dynamic programming.

A layer is reached from one or several layers before it; each of its choices has a cost of its own,
and so has each change from a choice to a choice.  Costs are whole numbers, so that sums are exact
and equals are equal; what costs ``FOREVER`` or more is never chosen.  Of each choice only those
ways to it are kept that may still come out best.

References
----------
Richard Bellman, *Dynamic Programming*, Princeton University Press 1957: what is best on from a
choice does not ask how the choice was reached.
"""

from collections.abc import Hashable, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from harmonykit.values import dataclass

Costs = NDArray[np.int64]
Ranks = NDArray[np.int64]
Place = tuple[int, int]
"""A layer and a choice in it."""

FOREVER = np.int64(1 << 50)
"""What is never chosen costs as much as this, or more."""


@dataclass(frozen=True, slots=True, eq=False)
class Reached:
    """The ways kept to a layer's choices, and where each comes from.

    Parameters
    ----------
    nodes : array (ways,)
        The choice that each way ends on.
    parents : tuple of int
        The layers before.
    origins : array (ways, 2)
        Which of the parents a way comes from, and which of the ways to it; empty in a first layer.
    """

    nodes: Ranks
    parents: tuple[int, ...]
    origins: Ranks


def walk(reached: Sequence[Reached], layer: int, way: int) -> list[Place]:
    """Return the choices of a way to a layer, from the first on."""
    found = [(layer, int(reached[layer].nodes[way]))]
    while reached[layer].parents:
        parent, way = reached[layer].origins[way].tolist()
        layer = reached[layer].parents[parent]
        found.append((layer, int(reached[layer].nodes[way])))
    return found[::-1]


class Ways:
    """The k cheapest ways through layers that are added one after the other.

    Two ways are of one *class* when they are the same at every moment by what ``add`` was told of
    their choices; of each class at a choice the cheapest is kept.  That is exact: a way that is not
    among the k best of different classes at its choice has k cheaper ones that can go on as it
    does.

    Parameters
    ----------
    k : int
        How many ways are kept.

    Examples
    --------
    >>> ways = Ways()
    >>> first = ways.add(np.array([0, 1]))
    >>> last = ways.add(np.array([0, 0]), [(first, np.array([[9, 9], [5, 2]]))])
    >>> ways.best([last])
    [(3, [(0, 1), (1, 1)])]
    """

    def __init__(self, k: int = 1) -> None:
        self.k = k
        self.reached: list[Reached] = []
        self._costs: list[Costs] = []
        self._classes: list[Ranks] = []
        self._numbers: dict[Hashable, int] = {}

    def add(
        self,
        own: Costs,
        before: Sequence[tuple[int, Costs]] = (),
        told: Sequence[Hashable] | None = None,
    ) -> int:
        """Add a layer and return its number.

        Parameters
        ----------
        own : array (choices,)
            What each choice costs by itself.
        before : sequence of (int, array)
            The layers it may be reached from, each with the costs (choices there, choices here).
        told : sequence of hashable, optional
            What tells a choice from others; the choices are told by their places if left out.
        """
        told = range(len(own)) if told is None else told
        # Of one way alone nobody asks of which class it is.
        words = [self.number(word) for word in told] if self.k > 1 else [0] * len(own)
        if before:
            reached, costs, classes = self._onward(own, before, words)
        else:
            nodes = np.flatnonzero(own < FOREVER)
            reached = Reached(nodes, (), np.zeros((0, 2), dtype=np.int64))
            costs, classes = own[nodes], [self.number((0, words[node])) for node in nodes]
        self.reached.append(reached)
        self._costs.append(costs)
        self._classes.append(np.array(classes or [0] * len(costs), dtype=np.int64))
        return len(self.reached) - 1

    def number(self, key: Hashable) -> int:
        """Return a number that stands for a value."""
        return self._numbers.setdefault(key, len(self._numbers) + 1)

    def best(self, ends: Iterable[int]) -> list[tuple[int, list[Place]]]:
        """Return the k cheapest ways that end in some layers, and what they cost.

        Of equals the first that was found comes first.
        """
        listed = sorted(
            (cost, place, way, end)
            for place, end in enumerate(ends)
            for way, cost in enumerate(self._costs[end].tolist())
        )
        chosen: dict[int, tuple[int, list[Place]]] = {}
        for cost, _, way, end in listed:
            group = int(self._classes[end][way])
            if group not in chosen and len(chosen) < self.k:
                chosen[group] = cost, walk(self.reached, end, way)
        return list(chosen.values())

    def _onward(
        self, own: Costs, before: Sequence[tuple[int, Costs]], words: list[int]
    ) -> tuple[Reached, Costs, list[int]]:
        """Return the k cheapest ways of different classes to each choice, costs, classes."""
        totals = np.concatenate([self._carried(layer, edges) for layer, edges in before]) + own
        classes = np.concatenate([self._classes[layer] for layer, _ in before])
        nodes, ways = _cheapest(totals, classes, self.k)
        counts = [len(self._costs[layer]) for layer, _ in before]
        parents = np.repeat(np.arange(len(before)), counts)
        within = np.concatenate([np.arange(count) for count in counts])
        origins = np.stack([parents[ways], within[ways]], axis=1)
        groups = zip(classes[ways].tolist(), nodes.tolist(), strict=True) if self.k > 1 else ()
        found = [self.number((group, words[node])) for group, node in groups]
        reached = Reached(nodes, tuple(layer for layer, _ in before), origins)
        return reached, totals[ways, nodes], found

    def _carried(self, layer: int, edges: Costs) -> Costs:
        """Return what each way to a layer costs on to each choice after it: (ways, choices)."""
        nodes = self.reached[layer].nodes
        # With one way to each choice the costs are taken as they stand, not copied.
        steps = edges if self.k == 1 and len(nodes) == len(edges) else edges[nodes]
        carried: Costs = self._costs[layer][:, None] + steps
        return carried


def _cheapest(totals: Costs, classes: Ranks, k: int) -> tuple[Ranks, Ranks]:
    """Return choices and the k cheapest ways of different classes to each, of equals the first."""
    choices = np.arange(totals.shape[1])
    if not len(totals):
        return choices[:0], choices[:0]
    if k == 1:
        ways = totals.argmin(axis=0)
        kept = totals[ways, choices] < FOREVER
        return choices[kept], ways[kept]
    least, first = _least_of_each(totals, classes)
    # Only what is no dearer than the k-th is sorted.
    last = min(k, len(least)) - 1
    kept = (least <= np.partition(least, last, axis=0)[last]) & (least < FOREVER)
    nodes, groups = np.nonzero(kept.T)
    ways = first[groups, nodes]
    order = np.lexsort((ways, least[groups, nodes], nodes))
    nodes, ways = nodes[order], ways[order]
    ranks = np.arange(len(nodes)) - np.searchsorted(nodes, nodes)
    return nodes[ranks < k], ways[ranks < k]


def _least_of_each(totals: Costs, classes: Ranks) -> tuple[Costs, Ranks]:
    """Return what the cheapest way of each class to each choice costs, and of equals the first."""
    order = classes.argsort(kind="stable")
    listed = classes[order]
    starts = np.flatnonzero(np.concatenate([[True], listed[1:] != listed[:-1]]))
    if len(starts) == len(order):
        ways = np.broadcast_to(np.arange(len(order))[:, None], totals.shape)
        return totals, ways
    by_class = totals[order]
    least = np.minimum.reduceat(by_class, starts, axis=0)
    counts = np.diff([*starts, len(order)])
    found = by_class == np.repeat(least, counts, axis=0)
    ways = np.where(found, order[:, None], len(order))
    return least, np.minimum.reduceat(ways, starts, axis=0)
