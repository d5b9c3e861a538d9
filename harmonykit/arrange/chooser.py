"""The dynamic programme behind the search: the k best ways through a network of shapes.

For each shape of each layer the k cheapest ways to reach it are kept.  Two ways belong to one
*class* when their chords and sounding notes are the same at every moment; of each class at a shape
the cheapest is kept.  That is exact: a way that is not among the k best of different classes at its
shape has k cheaper ones of other classes that can go on as it does.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.costs import Costs
from harmonykit.arrange.network import FOREVER, Choice, Layer, Network

Ranks = NDArray[np.int64]
Way = tuple[int, list[Choice]]


@dataclass(slots=True)
class _Best:
    """The k best ways to reach each shape of a layer.

    ``cost``, ``path`` are arrays (shapes, k): the cost of a way, the number of its class;
    ``origin`` (shapes, k, 3) says from which parent, shape and rank it comes.
    """

    cost: Ranks
    path: Ranks
    origin: NDArray[np.int64] = field(default_factory=lambda: np.zeros((0, 0, 3), dtype=np.int64))


class Chooser:
    """The dynamic programme over a network.

    Parameters
    ----------
    network : Network
    k : int
        How many ways are kept.
    """

    def __init__(self, network: Network, k: int) -> None:
        self.network, self.k = network, k
        self._best: list[_Best] = []
        self._numbers: dict[Hashable, int] = {}

    def solve(self, progress: Callable[[int, int], None] | None = None) -> list[Way]:
        """Return the k best ways with what they cost; of equals the first that was found.

        ``progress`` is told how many layers of how many are done; what it raises ends the search.
        """
        total = len(self.network.layers)
        for layer in self.network.layers[len(self._best) :]:
            self._best.append(self._reach(layer))
            if progress is not None:
                progress(layer.index + 1, total)
        return self._finish()

    def _reach(self, layer: Layer) -> _Best:
        nodes = len(layer.own)
        best = _Best(np.full((nodes, self.k), FOREVER), np.zeros((nodes, self.k), dtype=np.int64))
        if not layer.parents:
            best.cost[:, 0] = layer.own
            best.path[:, 0] = [self._number((0, heard)) for heard in self._heard(layer)]
            return best
        before = [self._best[parent.index] for parent in layer.parents]
        totals = [
            self._totals(parent, known, layer)
            for parent, known in zip(layer.parents, before, strict=True)
        ]
        origins = [_origins(place, *known.cost.shape) for place, known in enumerate(before)]
        paths = np.concatenate([known.path.reshape(-1) for known in before])
        self._choose(
            best, layer, np.concatenate(totals) + layer.own, paths, np.concatenate(origins)
        )
        return best

    def _totals(self, parent: Layer, known: _Best, layer: Layer) -> Costs:
        """Return what each way to a parent's shapes costs on to each shape: (ways, shapes)."""
        edges = self.network.edges(parent.shapes, layer.shapes)
        if layer.chained:
            # A climb keeps to its own shapes: the chain that it began on.
            edges = np.where(np.eye(len(edges), dtype=bool), edges, FOREVER)
        return (known.cost[:, :, None] + edges[:, None, :]).reshape(-1, edges.shape[1])

    def _choose(
        self, best: _Best, layer: Layer, totals: Costs, paths: Ranks, origins: NDArray[np.int64]
    ) -> None:
        """Keep, for each shape of a layer, the k cheapest ways of different classes."""
        best.origin = np.zeros((len(best.cost), self.k, 3), dtype=np.int64)
        heard = self._heard(layer)
        for node, picks in enumerate(_distinct(totals, paths, self.k)):
            count = len(picks)
            best.cost[node, :count] = totals[picks, node]
            best.origin[node, :count] = origins[picks]
            best.path[node, :count] = [
                self._number((path, heard[node])) for path in paths[picks].tolist()
            ]

    def _heard(self, layer: Layer) -> list[int]:
        """Return a number for what is heard of each shape of a layer: when, chord and notes."""
        moment = self._number((layer.part.onset, layer.part.chord))
        return [self._number((moment, sounds)) for sounds in layer.sounds]

    def _number(self, key: Hashable) -> int:
        """Return a number that stands for a value: for a class, what was heard so far and last."""
        return self._numbers.setdefault(key, len(self._numbers) + 1)

    def _finish(self) -> list[Way]:
        ends = [end.layer for end in self.network.ends if not end.needs_next]
        ways = [
            (int(self._best[layer.index].cost[node, rank]), place, int(node), int(rank))
            for place, layer in enumerate(ends)
            for node, rank in np.argwhere(self._best[layer.index].cost < FOREVER)
        ]
        chosen: dict[int, Way] = {}
        for cost, place, node, rank in sorted(ways):
            path = int(self._best[ends[place].index].path[node, rank])
            if path not in chosen and len(chosen) < self.k:
                chosen[path] = (cost, self._walk(ends[place], node, rank))
        return list(chosen.values())

    def _walk(self, layer: Layer, node: int, rank: int) -> list[Choice]:
        """Return the parts and shapes of one way, walked from its end."""
        found = [layer.choice(node)]
        while layer.parents:
            place, node, rank = (int(n) for n in self._best[layer.index].origin[node, rank])
            layer = layer.parents[place]
            found.append(layer.choice(node))
        found.reverse()
        return found


def _origins(place: int, nodes: int, ranks: int) -> NDArray[np.int64]:
    node, rank = np.divmod(np.arange(nodes * ranks), ranks)
    return np.stack([np.full(nodes * ranks, place), node, rank], axis=1)


def _distinct(totals: Costs, paths: Ranks, k: int) -> list[list[int]]:
    """Return for each shape the k cheapest ways of different classes, the first of equals first."""
    if k == 1:
        best = totals.argmin(axis=0).tolist()
        return [[way] if totals[way, node] < FOREVER else [] for node, way in enumerate(best)]
    return [
        _first_of_each(totals[:, node], order, paths, k)
        for node, order in enumerate(totals.argsort(axis=0, kind="stable").T)
    ]


def _first_of_each(costs: Costs, order: NDArray[np.int64], paths: Ranks, k: int) -> list[int]:
    picks: dict[int, int] = {}
    for start in range(0, len(order), 4 * k):
        # Most often the k best are found at once: only those are looked at one by one.
        ways = order[start : start + 4 * k]
        known = ways[costs[ways] < FOREVER]
        for way, path in zip(known.tolist(), paths[known].tolist(), strict=True):
            picks.setdefault(path, way)
            if len(picks) == k:
                return list(picks.values())
        if len(known) < len(ways):
            break
    return list(picks.values())
