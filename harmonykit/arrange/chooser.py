"""The dynamic programme behind the search: the k best ways through layers of shapes.

A layer holds the shapes that may play one part of a variant, and for each of them the k cheapest
ways to reach it.  Two ways belong to one *class* when their chords and sounding notes are the same
at every moment; of each class at a shape the cheapest is kept.  That is exact: a way that is not
among the k best of different classes at its shape has k cheaper ones of other classes that can go
on as it does.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.costs import Costs, Pitches, Weights, change_costs
from harmonykit.arrange.moves import Part, Variant, as_written
from harmonykit.arrange.shapes import Row, ShapeBook
from harmonykit.arrange.slots import Slot
from harmonykit.fretboard.voicing import Voicing

_FOREVER = np.int64(1) << 50
Ranks = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Choice:
    """A part of the way that was chosen, with its shape."""

    part: Part
    slot: Slot
    voicing: Voicing | None


@dataclass(slots=True)
class _Layer:
    """The shapes of one part, and the k best ways to reach each of them.

    ``cost``, ``path``, ``origin`` are arrays (shapes, k): the cost of a way, the number of its
    class, and which parent layer, shape and rank it comes from.
    """

    part: Part
    slot: Slot
    shapes: Row
    cost: Ranks
    path: Ranks
    parents: Sequence[_Layer] = ()
    origin: NDArray[np.int64] = field(default_factory=lambda: np.zeros((0, 0, 3), dtype=np.int64))

    @property
    def sounds(self) -> list[Pitches]:
        return [()] if self.shapes is None else self.shapes.sounds


@dataclass(slots=True)
class _End:
    """The last layer of a variant, and what it asks of the slot that follows."""

    layer: _Layer
    needs_next: bool


class Chooser:
    """The dynamic programme, fed slot by slot.

    Parameters
    ----------
    book : ShapeBook
    weights : Weights
    k : int
        How many ways are kept.
    """

    def __init__(self, book: ShapeBook, weights: Weights, k: int) -> None:
        self.book, self.weights, self.k = book, weights, k
        self._ends: list[_End] = []
        self._numbers: dict[Hashable, int] = {}
        self._changes: dict[tuple[int, int], Costs] = {}

    def add(self, slot: Slot, offered: list[tuple[str, Variant]], prefer: str = "") -> None:
        """Extend all ways by one slot.

        Parameters
        ----------
        slot : Slot
        offered : list of (str, Variant)
            Each with the name of its move.
        prefer : str
            The move beside which all others are a chance not taken; where it cannot be played, or
            none is preferred, only the slot as written is one.
        """
        written = as_written(slot)
        rows = self.book.rows(written, slot)
        found = [(move, v, r) for move, v in offered if (r := self.book.rows(v, slot)) is not None]
        wanted = any(move == prefer for move, *_ in found)
        ends = [] if rows is None else [self._extend(slot, written, rows, bool(found))]
        for move, variant, shapes in found:
            ends.append(self._extend(slot, variant, shapes, wanted and move != prefer))
        self._ends = [end for end in ends if end is not None]

    def _extend(self, slot: Slot, variant: Variant, rows: list[Row], missed: bool) -> _End | None:
        before = [end.layer for end in self._ends if _may_follow(end, variant)]
        if self._ends and not before:
            return None
        extra = self.weights.chance if missed else 0
        for index, (part, shapes) in enumerate(zip(variant.parts, rows, strict=True)):
            chained = index > 0 and variant.scale is not None
            price = extra + (self.weights.change if part.move else 0)
            before = [self._layer(part, slot, shapes, before, price, chained)]
            extra = 0
        return _End(before[0], variant.needs_next)

    def _layer(
        self, part: Part, slot: Slot, shapes: Row, before: list[_Layer], price: int, chained: bool
    ) -> _Layer:
        own = (np.zeros(1, dtype=np.int64) if shapes is None else shapes.own) + price
        layer = _Layer(part, slot, shapes, *_nothing(len(own), self.k), tuple(before))
        if not before:
            layer.cost[:, 0] = own
            layer.path[:, 0] = [self._number((0, heard)) for heard in self._heard(layer)]
            return layer
        totals = [self._totals(parent, shapes, chained) for parent in before]
        origins = [_origins(index, *parent.cost.shape) for index, parent in enumerate(before)]
        paths = np.concatenate([parent.path.reshape(-1) for parent in before])
        self._choose(layer, np.concatenate(totals) + own, paths, np.concatenate(origins))
        return layer

    def _totals(self, parent: _Layer, shapes: Row, chained: bool) -> Costs:
        """Return what each way to a parent's shapes costs on to each shape: (ways, shapes)."""
        edges = self._edges(parent.shapes, shapes)
        if chained:
            # A climb keeps to its own shapes: the chain that it began on.
            edges = np.where(np.eye(len(edges), dtype=bool), edges, _FOREVER)
        return (parent.cost[:, :, None] + edges[:, None, :]).reshape(-1, edges.shape[1])

    def _edges(self, before: Row, after: Row) -> Costs:
        """Return the costs of all changes; silence costs nothing on either side."""
        if before is None or after is None:
            size = (1 if before is None else len(before), 1 if after is None else len(after))
            return np.zeros(size, dtype=np.int64)
        key = (id(before), id(after))
        if key not in self._changes:
            self._changes[key] = change_costs(before, after, self.weights)
        return self._changes[key]

    def _choose(
        self, layer: _Layer, totals: Costs, paths: Ranks, origins: NDArray[np.int64]
    ) -> None:
        """Keep, for each shape of a layer, the k cheapest ways of different classes."""
        layer.origin = np.zeros((len(layer.cost), self.k, 3), dtype=np.int64)
        heard = self._heard(layer)
        for node, picks in enumerate(_distinct(totals, paths, self.k)):
            count = len(picks)
            layer.cost[node, :count] = totals[picks, node]
            layer.origin[node, :count] = origins[picks]
            layer.path[node, :count] = [
                self._number((path, heard[node])) for path in paths[picks].tolist()
            ]

    def _heard(self, layer: _Layer) -> list[int]:
        """Return a number for what is heard of each shape of a layer: when, chord and notes."""
        moment = self._number((layer.part.onset, layer.part.chord))
        return [self._number((moment, sounds)) for sounds in layer.sounds]

    def _number(self, key: Hashable) -> int:
        """Return a number that stands for a value: for a class, what was heard so far and last."""
        return self._numbers.setdefault(key, len(self._numbers) + 1)

    def finish(self) -> list[tuple[int, list[Choice]]]:
        """Return the k best ways with what they cost; of equals the first that was found."""
        ways = [
            (int(end.layer.cost[node, rank]), index, int(node), int(rank))
            for index, end in enumerate(self._ends)
            if not end.needs_next
            for node, rank in np.argwhere(end.layer.cost < _FOREVER)
        ]
        best: dict[int, tuple[int, list[Choice]]] = {}
        for cost, index, node, rank in sorted(ways):
            layer = self._ends[index].layer
            path = int(layer.path[node, rank])
            if path not in best and len(best) < self.k:
                best[path] = (cost, _walk(layer, node, rank))
        return list(best.values())


def _may_follow(end: _End, variant: Variant) -> bool:
    """Whether a variant may come after another: a target is kept, no diminished seventh doubled."""
    if end.needs_next and not variant.keeps_first:
        return False
    last, first = end.layer.part, variant.parts[0]
    if last.chord is None or first.chord is None or not (last.move or first.move):
        return True
    return not (last.chord.is_diminished_seventh and first.chord.is_diminished_seventh)


def _nothing(nodes: int, k: int) -> tuple[Ranks, Ranks]:
    return np.full((nodes, k), _FOREVER), np.zeros((nodes, k), dtype=np.int64)


def _origins(index: int, nodes: int, ranks: int) -> NDArray[np.int64]:
    node, rank = np.divmod(np.arange(nodes * ranks), ranks)
    return np.stack([np.full(nodes * ranks, index), node, rank], axis=1)


def _distinct(totals: Costs, paths: Ranks, k: int) -> list[list[int]]:
    """Return for each shape the k cheapest ways of different classes, the first of equals first."""
    if k == 1:
        best = totals.argmin(axis=0).tolist()
        return [[way] if totals[way, node] < _FOREVER else [] for node, way in enumerate(best)]
    return [
        _first_of_each(totals[:, node], order, paths, k)
        for node, order in enumerate(totals.argsort(axis=0, kind="stable").T)
    ]


def _first_of_each(costs: Costs, order: NDArray[np.int64], paths: Ranks, k: int) -> list[int]:
    picks: dict[int, int] = {}
    for start in range(0, len(order), 4 * k):
        # Most often the k best are found at once: only those are looked at one by one.
        ways = order[start : start + 4 * k]
        known = ways[costs[ways] < _FOREVER]
        for way, path in zip(known.tolist(), paths[known].tolist(), strict=True):
            picks.setdefault(path, way)
            if len(picks) == k:
                return list(picks.values())
        if len(known) < len(ways):
            break
    return list(picks.values())


def _walk(layer: _Layer, node: int, rank: int) -> list[Choice]:
    """Return the parts and shapes of one way, walked from its end."""
    found: list[Choice] = []
    here: _Layer | None = layer
    while here is not None:
        voicing = None if here.shapes is None else here.shapes.voicings[node]
        found.append(Choice(here.part, here.slot, voicing))
        if not here.parents:
            break
        index, node, rank = (int(n) for n in here.origin[node, rank])
        here = here.parents[index]
    found.reverse()
    return found
