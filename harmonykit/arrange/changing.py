"""What the changes from one layer to the next cost, and what the ear keeps of them.

Where a move says how the strings go, changes that do not go so are out of reach (``linking``).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from functools import lru_cache

import numpy as np

from harmonykit.arrange import costs as prices
from harmonykit.arrange import linking
from harmonykit.arrange.costs import Grips, Shapes
from harmonykit.arrange.ear import ear_of, letters
from harmonykit.arrange.layers import Layer, size_of
from harmonykit.arrange.walks import resolved, steps
from harmonykit.arrange.weights import Weights
from harmonykit.theory.leading.remembered import Changes, Letters
from harmonykit.theory.leading.ways import FOREVER, Costs


class Changing:
    """The changes of one search, each kind found once.

    Parameters
    ----------
    weights : Weights
    tempo : float
        Quarters a minute.
    rests : iterable of int
        The bars, as played from 0, in which a phrase ends.
    """

    def __init__(self, weights: Weights, tempo: float, rests: Iterable[int] = ()) -> None:
        self.weights, self.tempo, self.ear = weights, tempo, ear_of(weights)
        self.rests = sorted(rests)
        self._costs: dict[tuple[object, ...], Costs] = {}
        self._heard: dict[tuple[object, ...], Changes] = {}

    def phrase(self, bar: int) -> int:
        """Return in which phrase a bar is, from 0; a last one has all after the last rest."""
        return bisect_left(self.rests, bar)

    def heard(self, parent: Layer, layer: Layer) -> Changes:
        """Return all changes, with what the ear makes of the highest pitch."""
        before, after = parent.shapes, layer.shapes
        ear = self.ear
        across = ear.phrased and self.phrase(parent.part.bar) != self.phrase(layer.part.bar)
        key: tuple[object, ...]
        if before is None or after is None:
            size = size_of(before), size_of(after)
            key = (*size, across)
            if key not in self._heard:
                kinds = ear.parted if across else ear.silent
                self._heard[key] = Changes(np.zeros(size, dtype=np.int64), steps=kinds)
            return self._heard[key]
        key = (*self._key(parent, layer), across)
        if key not in self._heard:
            kinds, gaps = (ear.across if across else ear.inside), _gaps(before.grips, after.grips)
            self._heard[key] = Changes(self.changed(parent, layer), gaps, kinds)
        return self._heard[key]

    def changed(self, parent: Layer, layer: Layer) -> Costs:
        """Return the costs of all changes; a walk goes by steps of its scale, or ends as it may."""
        before, after = parent.shapes, layer.shapes
        if before is None or after is None:
            return np.zeros((size_of(before), size_of(after)), dtype=np.int64)
        key = self._key(parent, layer)
        if key not in self._costs:
            hurry = prices.hurry_of(float(parent.part.beats) * 60 / self.tempo)
            edges = _edges(before, after, self.weights, hurry)
            self._costs[key] = self._linked(edges, parent, layer, before, after)
        return self._costs[key]

    def _key(self, parent: Layer, layer: Layer) -> tuple[object, ...]:
        """Return what the costs of changes between two layers hang on."""
        link = linking.link(parent.part, layer.part)
        cadence = link and parent.part.into is not None and linking.is_cadence(layer)
        hurry = prices.hurry_of(float(parent.part.beats) * 60 / self.tempo)
        slides = parent.part.slides
        held = linking.prepared(layer)
        return (
            id(parent.shapes),
            id(layer.shapes),
            link,
            layer.chained,
            cadence,
            hurry,
            slides,
            held,
            layer.part.one_voice and (parent.part.chord, layer.part.chord),
        )

    def _linked(
        self, edges: Costs, parent: Layer, layer: Layer, before: Shapes, after: Shapes
    ) -> Costs:
        """Return the costs of changes, those that the parts do not allow out of reach."""
        if layer.chained:
            return np.where(np.eye(len(edges), dtype=bool), edges, FOREVER)
        if layer.part.one_voice:
            return np.where(linking.one_voice(parent, layer), edges, FOREVER)
        if (held := linking.prepared(layer)) is not None:
            return np.where(linking.holds(before, after, held), edges, FOREVER)
        if parent.part.slides:
            return np.where(linking.slid(before, after, parent.part.slides), edges, FOREVER)
        link = linking.link(parent.part, layer.part)
        if link is None:
            return edges
        scale, ways = link
        if parent.part.into is None or parent.part.scale is not None:
            allowed = linking.stepped((parent.part, before), (layer.part, after), scale, ways)
            return np.where(allowed, edges, FOREVER)
        parallel = steps(before, after, scale, 1) | steps(before, after, scale, -1)
        leading = layer.part.chord.root.pitch_class - 1 if layer.part.chord else 0
        ends = resolved(before, after, leading % 12)
        price = np.full(edges.shape, self.weights.loose, dtype=np.int64)
        price[parallel] = self.weights.parallel if linking.is_cadence(layer) else 0
        price[ends] = 0
        return edges + price


@lru_cache(maxsize=4096)
def _edges(before: Shapes, after: Shapes, weights: Weights, hurry: int) -> Costs:
    """Return the costs of all changes between two rows; once for all searches."""
    travel = prices.travel_rounded(before, after)
    return prices.change_costs(before, after, weights) + weights.travel * travel * hurry // 4


@lru_cache(maxsize=4096)
def _gaps(before: Grips, after: Grips) -> Letters:
    """Return how the highest pitch goes at each change between two rows."""
    return Letters(letters(before.tops, after.tops))
