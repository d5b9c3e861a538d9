"""What the changes from one layer to the next cost, and what the ear keeps of them.

Where a move says how the strings go, changes that do not go so are out of reach (``linking``), and
so is an added chord that sounds as what is beside it.
"""

from bisect import bisect_left
from collections.abc import Iterable
from functools import lru_cache

import numpy as np

from harmonykit.arrange import costs as prices
from harmonykit.arrange import linking
from harmonykit.arrange.costs import Grips, Shapes
from harmonykit.arrange.ear import ear_of, letters
from harmonykit.arrange.part_prices import Layer, size_of
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

    def forget(self) -> None:
        """Forget what was found where that is much: a search begins anew."""
        if len(self._heard) > _MANY:
            self._heard.clear()
            self._costs.clear()

    def heard(self, parent: Layer, layer: Layer) -> Changes:
        """Return all changes, with what the ear makes of the highest pitch."""
        before, after = parent.shapes, layer.shapes
        ear = self.ear
        across = ear.phrased and self.phrase(parent.part.bar) != self.phrase(layer.part.bar)
        sounds = before is not None and after is not None
        told = self._key(parent, layer) if sounds else (size_of(before), size_of(after))
        found = self._heard.get(key := (*told, across))
        if found is None:
            if before is None or after is None:
                nothing = np.zeros((size_of(before), size_of(after)), dtype=np.int64)
                found = Changes(nothing, steps=ear.parted if across else ear.silent)
            else:
                gaps = _gaps(before.grips, after.grips)
                kinds = ear.across if across else ear.inside
                found = Changes(self.changed(parent, layer), gaps, kinds)
            self._heard[key] = found
        return found

    def changed(self, parent: Layer, layer: Layer) -> Costs:
        """Return the costs of all changes; a walk goes by steps of its scale, or ends as it may."""
        before, after = parent.shapes, layer.shapes
        if before is None or after is None:
            return np.zeros((size_of(before), size_of(after)), dtype=np.int64)
        key = self._key(parent, layer)
        found = self._costs.get(key)
        if found is None:
            hurry = prices.hurry_of(float(parent.part.beats) * 60 / self.tempo)
            edges = _edges(before, after, self.weights, hurry)
            if self._lasts(parent, layer):
                same = prices.unlike(before.frets, after.frets) == 0
                edges = edges + self.weights.still * same
            found = self._linked(edges, parent, layer, before, after)
            if linking.must_sound(parent.part, layer.part):
                found = np.where(prices.sounds_alike(before, after), FOREVER, found)
            self._costs[key] = found
        return found

    def _lasts(self, parent: Layer, layer: Layer) -> bool:
        """Whether one chord goes on from a pair of bars to the next; not into the tune's last."""
        before, after = parent.slot, layer.slot
        if not self.weights.still or before.chord is None or after.ends_sound:
            return False
        if not before.chord == after.chord == parent.part.chord == layer.part.chord:
            return False
        return before.onset != after.onset

    def _key(self, parent: Layer, layer: Layer) -> tuple[object, ...]:
        """Return what the costs of changes between two layers hang on."""
        link = linking.link(parent.part, layer.part)
        cadence = link and parent.part.into is not None and linking.is_cadence(layer)
        hurry = prices.hurry_of(float(parent.part.beats) * 60 / self.tempo)
        first, then = parent.part, layer.part
        walks = link and (first.scale is None, first.scale == then.scale, then.away)
        slides = first.slides
        held = linking.prepared(layer)
        return (
            parent.shapes,
            layer.shapes,
            link,
            walks,
            layer.chained,
            cadence,
            hurry,
            slides,
            held,
            self._lasts(parent, layer),
            then.one_voice and (first.chord, then.chord),
            self._planes(parent, layer),
            linking.must_sound(first, then),
        )

    def _planes(self, parent: Layer, layer: Layer) -> bool:
        """Whether both are stacked fourths over one chord, so that one grip is carried along."""
        both = parent.part.fourths and layer.part.fourths
        return both and parent.slot.chord == layer.slot.chord

    def _linked(
        self, edges: Costs, parent: Layer, layer: Layer, before: Shapes, after: Shapes
    ) -> Costs:
        """Return the costs of changes, those that the parts do not allow out of reach."""
        if layer.chained:
            return np.where(np.eye(len(edges), dtype=bool), edges, FOREVER)
        if layer.part.one_voice:
            return np.where(linking.one_voice(parent, layer), edges, FOREVER)
        if self._planes(parent, layer):
            return np.where(linking.planed(before, after), 0, FOREVER)
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


_MANY = 4096


@lru_cache(maxsize=2)
def _changing(weights: Weights, tempo: float, rests: frozenset[int]) -> Changing:
    return Changing(weights, tempo, rests)


def changing_of(weights: Weights, tempo: float, rests: frozenset[int]) -> Changing:
    """Return the changes of a search, with what searches before it found at the same prices."""
    found = _changing(weights, tempo, rests)
    found.forget()
    return found


@lru_cache(maxsize=4096)
def _edges(before: Shapes, after: Shapes, weights: Weights, hurry: int) -> Costs:
    """Return the costs of all changes between two rows; once for all searches."""
    travel = prices.travel_rounded(before, after)
    return prices.change_costs(before, after, weights) + weights.travel * travel * hurry // 4


@lru_cache(maxsize=4096)
def _gaps(before: Grips, after: Grips) -> Letters:
    """Return how the highest pitch goes at each change between two rows."""
    return Letters(letters(before.tops, after.tops))
