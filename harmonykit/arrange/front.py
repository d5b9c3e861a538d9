"""The Pareto front: the arrangements than which none is better in every way.

Three things are to be small: the semitones that the voices move, the whole millimetres that the
hand travels (each change rounded), and the number of chords put in.  They are measured as
``measures`` does, silence apart: a chord as written, or under another name for the same notes, is
none that is put in, and one that goes on over a bar line is one.

Labels, one a triple of these, are carried through the network of shapes; at each shape only those
stay that no other there is at least as good as in all three.  That is exact.  Where a layer's
shapes keep more labels than a stated number, labels within the same small box of semitones and
millimetres count as one, so that the work stays bounded; what may be missed by it is added up and
told: for each arrangement that there is, one is found that is worse by no more than ``epsilon`` in
each of the three.  A guitar has a hundred shapes for a chord, most of which nobody would take; of
so many those are looked at that cost the least by themselves.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange import costs, search
from harmonykit.arrange.arrangement import is_foreign
from harmonykit.arrange.choices import Front, Point, Triple
from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.network import Network
from harmonykit.arrange.part_prices import Choice, Layer, size_of
from harmonykit.arrange.shapes import Row
from harmonykit.arrange.space import search_space
from harmonykit.arrange.wishes import Wishes, as_wishes
from harmonykit.errors import need_whole
from harmonykit.fretboard.strings.instrument import InstrumentLike
from harmonykit.score.files import TuneLike
from harmonykit.theory.leading.matrix import pitch_semitones
from harmonykit.theory.leading.ways import FOREVER, Costs, Reached, walk
from harmonykit.values import dataclass

Labels = NDArray[np.int64]
"""Rows of a group's number and three measures."""


@dataclass(frozen=True, slots=True, eq=False)
class _Labelled(Reached):
    """The labels at a layer's shapes, a row of shape and the three for each; what was lost."""

    labels: Labels
    loss: tuple[int, int] = (0, 0)


def pareto_front(
    tune: TuneLike,
    instrument: InstrumentLike,
    moves: Iterable[str] = USUAL,
    *,
    most_labels: int = 2000,
    most_shapes: int = 16,
    wishes: Wishes | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Front:
    """Return the arrangements that no other beats in all measures at once.

    The measures are voice movement, hand travel and added chords.

    Parameters
    ----------
    tune : Tune, str or Path
        A tune, the name of one that ships, a file, or its chords.
    instrument : Instrument or str
    moves : iterable of str
        Names of moves that may be used.
    most_labels : int
        How many labels a layer may keep before some count as one.
    most_shapes : int
        How many shapes of a chord are looked at: those that cost the least by themselves.
    wishes : Wishes, optional
        As in ``hk.reharmonise``; of the weights those of single shapes alone play a part.
    progress : callable, optional
        Told the number of layers that are done and of all; an exception raised in it
        stops the search.

    Returns
    -------
    Front

    Raises
    ------
    HarmonyError
        As ``hk.reharmonise``.

    Examples
    --------
    >>> front = hk.pareto_front("slack_water_waltz", "ukulele", ["leading-tone diminished"])
    >>> front.bounded, min(point.values[2] for point in front.points)
    (False, 0)
    """
    need_whole(most_labels, "most_labels", 1)
    need_whole(most_shapes, "most_shapes", 1)
    wishes = as_wishes(wishes)
    space = search_space(tune, instrument, moves, wishes)
    solver = _Solver(space.network, most_labels, most_shapes)
    ways, loss = solver.solve(progress)
    if not ways:
        raise search.nothing_fits(wishes.demands)
    points = tuple(Point(space.arrangement(0, way), values) for values, way in ways)
    return Front(points, any(loss), (*loss, 0))


class _Solver:
    def __init__(self, network: Network, most: int, shapes: int) -> None:
        self.network, self.most, self.shapes = network, most, shapes
        self._reached: list[_Labelled] = []
        self._edges: dict[tuple[int, int], tuple[Costs, Costs]] = {}

    def solve(
        self, progress: Callable[[int, int], None] | None
    ) -> tuple[list[tuple[Triple, list[Choice]]], tuple[int, int]]:
        """Return the front's triples with their ways, and what may be missed."""
        total = len(self.network.layers)
        for layer in self.network.layers:
            self._reached.append(self._reach(layer))
            if progress is not None:
                progress(layer.index + 1, total)
        return self._finish()

    def _reach(self, layer: Layer) -> _Labelled:
        nodes = _easiest(layer.own, self.shapes)
        if not layer.parents:
            put = _is_put_in(layer, None)
            labels = np.zeros((len(nodes), 4), dtype=np.int64)
            labels[:, 0], labels[:, 3] = nodes, put
            return _Labelled(nodes, (), np.zeros((0, 2), dtype=np.int64), labels)
        found, origins = [], []
        for place, parent in enumerate(layer.parents):
            labels, origin = self._from(parent, layer, nodes)
            found.append(labels)
            origins.append(np.column_stack([np.full(len(origin), place), origin]))
        loss = [self._reached[parent.index].loss for parent in layer.parents]
        worst = (max(semitones for semitones, _ in loss), max(mm for _, mm in loss))
        parents = tuple(parent.index for parent in layer.parents)
        return self._prune(np.concatenate(found), parents, np.concatenate(origins), worst)

    def _from(
        self, parent: Layer, layer: Layer, nodes: NDArray[np.intp]
    ) -> tuple[Labels, NDArray[np.int64]]:
        """Return a parent's labels carried on to each shape, and which label each comes from."""
        before = self._reached[parent.index].labels
        semitones, travel = self._moved(parent.shapes, layer.shapes)
        if layer.chained:
            carried = np.isin(before[:, 0], nodes)
            starts, ends = np.flatnonzero(carried), before[carried, 0]
        else:
            starts = np.repeat(np.arange(len(before)), len(nodes))
            ends = np.tile(nodes, len(before))
        labels = before[starts].copy()
        labels[:, 1] += semitones[before[starts, 0], ends]
        labels[:, 2] += travel[before[starts, 0], ends]
        labels[:, 3] += _is_put_in(layer, parent)
        labels[:, 0] = ends
        return labels, starts

    def _moved(self, before: Row, after: Row) -> tuple[Costs, Costs]:
        """Return semitones and millimetres of each change; silence costs nothing."""
        if before is None or after is None:
            nothing = np.zeros((size_of(before), size_of(after)), dtype=np.int64)
            return nothing, nothing
        key = (id(before), id(after))
        if key not in self._edges:
            semitones = pitch_semitones(before.sounds, after.sounds)
            self._edges[key] = semitones, costs.travel_rounded(before, after)
        return self._edges[key]

    def _prune(
        self,
        labels: Labels,
        parents: tuple[int, ...],
        origins: NDArray[np.int64],
        loss: tuple[int, int],
    ) -> _Labelled:
        """Keep what nothing else at the same shape is as good as; in boxes where they are many."""
        kept = undominated(labels)
        labels, origins = labels[kept], origins[kept]
        box, lost = 1, (0, 0)
        widest = int(np.max(labels[:, 1:3], initial=0))
        while len(labels) > self.most and box <= widest:
            box *= 2
            boxes = labels.copy()
            # A box is as many semitones wide as it is high in tens of millimetres.
            boxes[:, 1] //= box
            boxes[:, 2] //= 10 * box
            kept = undominated(boxes)
            # One label a shape and number of chords put in is the least that a layer keeps.
            if len(kept) <= self.most or box > widest:
                labels, origins, lost = labels[kept], origins[kept], (box - 1, 10 * box - 1)
                break
        missed = (loss[0] + lost[0], loss[1] + lost[1])
        return _Labelled(labels[:, 0], parents, origins, labels, missed)

    def _finish(self) -> tuple[list[tuple[Triple, list[Choice]]], tuple[int, int]]:
        ends = [end.layer for end in self.network.ends if not end.needs_next]
        rows = [
            (int(a), int(b), int(c), place, row)
            for place, layer in enumerate(ends)
            for row, (_, a, b, c) in enumerate(self._reached[layer.index].labels)
        ]
        if not rows:
            return [], (0, 0)
        table = np.array([(0, a, b, c) for a, b, c, *_ in rows], dtype=np.int64)
        best = [rows[row] for row in undominated(table)]
        loss = [self._reached[layer.index].loss for layer in ends]
        worst = (max(semitones for semitones, _ in loss), max(mm for _, mm in loss))
        ways = sorted((a, b, c, ends[place].index, row) for a, b, c, place, row in best)
        return [((a, b, c), self._way(layer, row)) for a, b, c, layer, row in ways], worst

    def _way(self, layer: int, row: int) -> list[Choice]:
        return self.network.choices(walk(self._reached, layer, row))


def _easiest(own: Costs, most: int) -> NDArray[np.intp]:
    """Return the places of the shapes that cost the least by themselves, at most so many."""
    nodes = np.flatnonzero(own < FOREVER)
    if len(nodes) <= most:
        return nodes
    return np.sort(nodes[np.argsort(own[nodes], kind="stable")[:most]])


def _is_put_in(layer: Layer, parent: Layer | None) -> int:
    """Return 1 where a layer's chord is new and has other notes than the tune's own, else 0."""
    chord, written = layer.part.chord, layer.slot.chord
    if chord is None or not is_foreign(chord, written):
        return 0
    goes_on = parent is not None and parent.part.chord == chord
    return int(not (goes_on and parent is not None and is_foreign(chord, parent.slot.chord)))


def undominated(labels: Labels) -> NDArray[np.int64]:
    """Return the rows than which none of the same first column is as good in the other three.

    Of equal rows the first stays.

    Examples
    --------
    >>> undominated(np.array([[0, 1, 5, 1], [0, 2, 5, 0], [0, 2, 5, 1], [1, 9, 9, 9]])).tolist()
    [0, 1, 3]
    """
    order = np.lexsort((labels[:, 2], labels[:, 1], labels[:, 3], labels[:, 0]))
    order = order[_falls(labels[order])]
    kept: list[int] = []
    shape, steps = -1, _Staircase()
    rows = labels[order].tolist()
    for row, (node, first, second, _) in zip(order.tolist(), rows, strict=True):
        if node != shape:
            shape, steps = node, _Staircase()
        if steps.add(first, second):
            kept.append(row)
    return np.array(sorted(kept), dtype=np.int64)


def _falls(rows: Labels) -> NDArray[np.bool_]:
    """Return which rows have less of the third than all before them with the same first and last.

    The rows are sorted by the first, the last, the second and the third.
    """
    if not len(rows):
        return np.zeros(0, dtype=bool)
    new = np.any(rows[1:, [0, 3]] != rows[:-1, [0, 3]], axis=1)
    # Each group lies below all before it, so that the least so far starts anew with it.
    depth = np.concatenate([[0], np.cumsum(new)]) * (int(np.max(rows[:, 2])) + 1)
    least = np.minimum.accumulate(rows[:, 2] - depth)
    found = np.ones(len(rows), dtype=bool)
    found[1:] = least[1:] < least[:-1]
    return found


class _Staircase:
    """Pairs of which none is as good as another in both, the first rising, the second falling."""

    def __init__(self) -> None:
        self._first: list[int] = []
        self._second: list[int] = []

    def add(self, first: int, second: int) -> bool:
        """Put a pair in, unless one there is as good in both; drop those that it beats."""
        place = bisect_right(self._first, first)
        if place and self._second[place - 1] <= second:
            return False
        start = bisect_left(self._first, first)
        end = start
        while end < len(self._second) and self._second[end] >= second:
            end += 1
        self._first[start:end] = [first]
        self._second[start:end] = [second]
        return True
