"""Layers of choices as they are laid out for a search, and which of them come again."""

from collections import defaultdict
from functools import cached_property

import numpy as np

from harmonykit.theory.leading import remembered, ways
from harmonykit.values import dataclass


@dataclass(frozen=True)
class Laid:
    """Layers of choices in order, each after those from which it can be reached.

    Parameters
    ----------
    own : list of array (choices,)
        What each choice costs by itself.
    before : list of list of (int, Changes)
        For each layer those from which it can be reached; none for a first layer.
    ends : list of int
        The layers where a way may end; none of them is gone on from.
    starts, stops : tuple of int
        What it costs to begin and to end in each state.
    """

    own: list[ways.Costs]
    before: list[list[tuple[int, remembered.Changes]]]
    ends: list[int]
    starts: tuple[int, ...] = (0,)
    stops: tuple[int, ...] = (0,)

    @property
    def firsts(self) -> list[int]:
        """The layers where a way may begin."""
        return [layer for layer, before in enumerate(self.before) if not before]

    @cached_property
    def groups(self) -> list[list[tuple[remembered.Changes, tuple[int, ...]]]]:
        """Return for each layer the changes to it, and from which layers they come."""
        found = []
        for before in self.before:
            alike: dict[int, tuple[remembered.Changes, list[int]]] = {}
            for parent, changes in before:
                alike.setdefault(id(changes), (changes, []))[1].append(parent)
            found.append([(changes, tuple(parents)) for changes, parents in alike.values()])
        return found

    @cached_property
    def placed(self) -> list[ways.Costs]:
        """What each place costs by itself, to begin and to end in its state counted."""
        edges: dict[int, list[ways.Costs]] = defaultdict(list)
        for layers, prices in ((self.firsts, self.starts), (self.ends, self.stops)):
            for layer in layers:
                edges[layer].append(np.array(prices, dtype=np.int64)[:, None])
        return [
            sum(edges[layer], own) if layer in edges else own for layer, own in enumerate(self.own)
        ]

    @cached_property
    def twins(self) -> list[int]:
        """Return for each layer one before it with the same costs and parents, or -1.

        It is as far before it as the twin of a parent, where it can be, else the last.
        """
        all_told: list[tuple[object, ...]] = []
        last: dict[tuple[object, ...], int] = {}
        found: list[int] = []
        for layer, (own, before) in enumerate(zip(self.placed, self.before, strict=True)):
            parents = [(layer - parent, id(changes)) for parent, changes in before]
            told = (own.shape, own.tobytes(), *parents)
            twin = last.get(told, -1)
            if before and twin >= 0 and found[before[0][0]] >= 0:
                alike = layer - before[0][0] + found[before[0][0]]
                twin = alike if all_told[alike] == told else twin
            all_told.append(told)
            found.append(twin)
            last[told] = layer
        return found
