"""Chords and shapes chosen together: the k best arrangements of a tune.

The tune is cut into slots; moves offer variants of each; a variant is a row of layers, and a layer
the shapes that may play its chord.  A path through one variant of every slot, one shape a layer, is
an arrangement; its cost is the sum of what shapes and changes cost (``costs``).  Dynamic
programming keeps, for every shape of a layer, the k best ways to reach it that differ in chords or
sounding notes.  That is exact: a way that is not among the k best distinct ones at its shape has k
cheaper distinct ones that can go on as it does.

Two arrangements are the same when their chords and sounding notes are the same; of each such class
the cheapest counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.arrangement import Arrangement, Refusal, Step
from harmonykit.arrange.costs import Costs, Shapes, Weights, change_costs, shape_costs
from harmonykit.arrange.moves import MOVES, Part, Refused, Setting, Variant, as_written, move_named
from harmonykit.arrange.reasons import climb_reason
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hand import Limits, fit
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.tones import usual_omissions
from harmonykit.fretboard.voicing import Voicing, chord_scale, find_voicings
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Tune

_FOREVER = np.int64(1) << 50
Ranks = NDArray[np.int64]


def reharmonise(
    tune: Tune,
    instrument: Instrument,
    moves: Iterable[str] = tuple(MOVES),
    k: int = 5,
    *,
    limits: Limits | None = None,
    weights: Weights | None = None,
    tempo: float | None = None,
    least_seconds: float = 0.5,
    prefer: str = "",
    name: str = "",
) -> tuple[Arrangement, ...]:
    """Return the k best arrangements of a tune on an instrument, the best first.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    moves : iterable of str
        Names of moves that may be used; none plays the tune as written.
    k : int
        How many, at most; two that sound the same count once.
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    weights : Weights, optional
        What costs what.
    tempo : float, optional
        Quarters a minute; the tune's own where not given.
    least_seconds : float
        How long an inserted chord, and the chord that it shortens, must last.
    prefer : str
        A move that is to be used wherever it fits: other moves there count as a chance not taken.

    Raises
    ------
    HarmonyError
        If a chord has no playable shape on the instrument, or a move is unknown.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> tune = Tune.read(find_data("tunes", "net_loft_shuffle"))
    >>> best = reharmonise(tune, Instrument.named("ukulele"), ["approach"], k=1)[0]
    >>> print(best.inserted[0].reason)
    C♯°7 passes up to Dm7 from a semitone below: C♯ rises to D, E rises to F, G falls to F, B♭ falls to A.
    """  # noqa: E501
    if k < 1:
        raise HarmonyError(f"k is {k}", rule="at least one arrangement is asked for")
    pace = tune.tempo if tempo is None else tempo
    setting = Setting(tune.key, tune.melody, pace, least_seconds)
    rules = [move_named(move) for move in moves]
    if prefer:
        move_named(prefer)
    chooser = _Chooser(instrument, limits or Limits(), weights or Weights(), k)
    refusals: list[Refusal] = []
    for slot in slots_of(tune):
        offered = [(rule.name, found) for rule in rules for found in rule.offer(slot, setting)]
        refusals += [_refusal(slot, move, r) for move, r in offered if isinstance(r, Refused)]
        variants = [(move, found) for move, found in offered if isinstance(found, Variant)]
        wanted = any(move == prefer for move, _ in variants)
        missed = [wanted and move != prefer for move, _ in variants]
        chooser.add(slot, [found for _, found in variants], missed)
    return tuple(
        Arrangement(
            tune, instrument, steps, cost, pace, tuple(refusals), tuple(chooser.notes), name
        )
        for cost, steps in chooser.finish()
    )


def _refusal(slot: Slot, move: str, refused: Refused) -> Refusal:
    return Refusal(move, slot.bar, slot.chord.unicode if slot.chord else "N.C.", refused.rule)


@dataclass(slots=True)
class _Layer:
    """The shapes of one part of a variant, and the k best ways to reach each of them.

    ``cost``, ``path``, ``origin`` are arrays (shapes, k): the cost of a way, the number of its
    class of chords and sounding notes, and which layer, shape and rank it comes from.
    """

    part: Part
    slot: Slot
    shapes: Shapes | None
    cost: Ranks
    path: Ranks
    parents: Sequence[_Layer] = ()
    origin: NDArray[np.int64] = field(default_factory=lambda: np.zeros((0, 0, 3), dtype=np.int64))


@dataclass(slots=True)
class _End:
    """The last layer of a variant, and what it asks of the slot that follows."""

    layer: _Layer
    needs_next: bool


class _Chooser:
    """The dynamic programme, fed slot by slot."""

    def __init__(self, instrument: Instrument, limits: Limits, weights: Weights, k: int) -> None:
        self.instrument, self.limits, self.weights, self.k = instrument, limits, weights, k
        self.ends: list[_End] = []
        self.notes: list[str] = []
        self._classes: dict[tuple[int, Chord | None, tuple[int, ...]], int] = {}
        self._changes: dict[tuple[int, int], Costs] = {}
        self._shapes: dict[Chord, Shapes] = {}
        self._climbs: dict[tuple[Chord, SixthDiminished, int], tuple[Shapes, ...]] = {}
        self._started = False

    def add(self, slot: Slot, variants: list[Variant], missed: list[bool]) -> None:
        """Extend all ways by one slot; ``missed`` tells which variants miss the preferred move."""
        chance = self.weights.chance
        ends = [self._extend(slot, as_written(slot), chance if variants else 0)]
        for variant, misses in zip(variants, missed, strict=True):
            ends.append(self._extend(slot, variant, chance if misses else 0))
        self.ends = [end for end in ends if end is not None]
        self._started = True

    def _extend(self, slot: Slot, variant: Variant, extra: int) -> _End | None:
        rows = self._rows(variant)
        if any(row is not None and not len(row) for row in rows):
            return None
        before = [end.layer for end in self.ends if self._may_follow(end, variant)]
        if self._started and not before:
            return None
        for index, (part, shapes) in enumerate(zip(variant.parts, rows, strict=True)):
            diagonal = index > 0 and variant.scale is not None
            price = extra + (self.weights.change if part.move else 0)
            before = [self._layer(part, slot, shapes, before, price, diagonal)]
            extra = 0
        return _End(before[0], variant.needs_next)

    @staticmethod
    def _may_follow(end: _End, variant: Variant) -> bool:
        """Whether a variant may come after another: a target is kept, no chord twice."""
        if end.needs_next and not variant.keeps_first:
            return False
        last, first = end.layer.part.chord, variant.parts[0].chord
        if last is None or first is None or not (end.layer.part.move or variant.parts[0].move):
            return True
        both = last.is_diminished_seventh and first.is_diminished_seventh
        return not (both and last.pcs == first.pcs)

    def _rows(self, variant: Variant) -> list[Shapes | None]:
        """Return the shapes of each part; those of a climb belong together one by one."""
        if variant.scale is None:
            return [self._shapes_of(part.chord) for part in variant.parts]
        home = variant.parts[0].chord
        if home is None:
            return []
        steps = variant.parts[-1].climb
        chains = self._chains(home, variant.scale, steps)
        return [chains[part.climb] for part in variant.parts]

    def _chains(self, home: Chord, scale: SixthDiminished, steps: int) -> tuple[Shapes, ...]:
        key = (home, scale, steps)
        if key not in self._climbs:
            found = self._shapes_of(home)
            starts = () if found is None else found.voicings
            chains = [c for v in starts if (c := _climb_from(v, scale, steps, self.limits))]
            columns = tuple(zip(*chains, strict=True)) or ((),) * (steps + 1)
            self._climbs[key] = tuple(self._priced(column) for column in columns)
        return self._climbs[key]

    def _shapes_of(self, chord: Chord | None) -> Shapes | None:
        if chord is None:
            return None
        if chord not in self._shapes:
            voicings = _playable(chord, self.instrument, self.limits)
            if not voicings:
                voicings = self._past_limits(chord)
            self._shapes[chord] = self._priced(voicings)
        return self._shapes[chord]

    def _past_limits(self, chord: Chord) -> tuple[Voicing, ...]:
        """Return shapes of a wide hand where the limits leave none, and say so."""
        voicings = _playable(chord, self.instrument, Limits())
        if not voicings:
            raise HarmonyError(
                f"{chord.symbol} has no shape on {self.instrument.name} that a hand can hold",
                rule=f"strings {self.instrument.tuning}, frets 0 to {Limits().max_fret}",
                mend="a simpler chord in the tune, or another instrument",
            )
        self.notes.append(
            f"{chord.unicode} has no shape within this level's limits; the nearest is shown."
        )
        return voicings

    def _priced(self, voicings: tuple[Voicing, ...]) -> Shapes:
        shapes = Shapes(voicings)
        if voicings:
            shapes.own = shape_costs(shapes, self.weights)
        return shapes

    def _layer(
        self,
        part: Part,
        slot: Slot,
        shapes: Shapes | None,
        before: list[_Layer],
        price: int,
        diagonal: bool,
    ) -> _Layer:
        own = np.zeros(1, dtype=np.int64) if shapes is None else shapes.own
        if not before:
            return self._first(part, slot, shapes, own + price)
        totals, sources = [], []
        for index, layer in enumerate(before):
            edges = self._edges(layer.shapes, shapes, diagonal)
            total = layer.cost[:, :, None] + edges[:, None, :]
            totals.append(total.reshape(-1, total.shape[2]))
            sources.append(_sources(index, *layer.cost.shape))
        stacked = np.concatenate(totals) + (own + price)[None, :]
        paths = np.concatenate([layer.path.reshape(-1) for layer in before])
        return self._choose(part, slot, shapes, stacked, paths, before, np.concatenate(sources))

    def _first(self, part: Part, slot: Slot, shapes: Shapes | None, own: Costs) -> _Layer:
        cost = np.full((len(own), self.k), _FOREVER)
        path = np.zeros((len(own), self.k), dtype=np.int64)
        cost[:, 0] = own
        path[:, 0] = [self._class(0, part.chord, sounds) for sounds in _sounds(shapes)]
        return _Layer(part, slot, shapes, cost, path)

    def _edges(self, before: Shapes | None, after: Shapes | None, diagonal: bool) -> Costs:
        """Return the costs of all changes; silence costs nothing on either side."""
        if before is None or after is None:
            size = (1 if before is None else len(before), 1 if after is None else len(after))
            return np.zeros(size, dtype=np.int64)
        key = (id(before), id(after))
        if key not in self._changes:
            self._changes[key] = change_costs(before, after, self.weights)
        edges = self._changes[key]
        if diagonal:
            # A climb keeps to its own shapes: the chain that it began on.
            return np.where(np.eye(len(before), dtype=bool), edges, _FOREVER)
        return edges

    def _choose(
        self,
        part: Part,
        slot: Slot,
        shapes: Shapes | None,
        totals: Costs,
        paths: Ranks,
        before: list[_Layer],
        sources: NDArray[np.int64],
    ) -> _Layer:
        """Keep, for each shape, the k cheapest ways of different classes."""
        count = totals.shape[1]
        cost = np.full((count, self.k), _FOREVER)
        path = np.zeros((count, self.k), dtype=np.int64)
        origin = np.zeros((count, self.k, 3), dtype=np.int64)
        for node, sounds in enumerate(_sounds(shapes)):
            picks = _distinct(totals[:, node], paths, self.k)
            for rank, pick in enumerate(picks):
                cost[node, rank] = totals[pick, node]
                path[node, rank] = self._class(int(paths[pick]), part.chord, sounds)
                origin[node, rank] = sources[pick]
        return _Layer(part, slot, shapes, cost, path, tuple(before), origin)

    def _class(self, before: int, chord: Chord | None, sounds: tuple[int, ...]) -> int:
        """Return the number of the class of ways that sound so far the same."""
        return self._classes.setdefault((before, chord, sounds), len(self._classes) + 1)

    def finish(self) -> list[tuple[int, tuple[Step, ...]]]:
        """Return the k best ways as steps, with what they cost."""
        found: list[tuple[int, int, int, int, int]] = []
        for index, end in enumerate(self.ends):
            if end.needs_next:
                continue
            for node, rank in np.argwhere(end.layer.cost < _FOREVER):
                way = (int(end.layer.cost[node, rank]), int(end.layer.path[node, rank]))
                found.append((*way, index, int(node), int(rank)))
        best: dict[int, tuple[int, tuple[Step, ...]]] = {}
        for cost, path, index, node, rank in sorted(found, key=lambda way: (way[0], *way[2:])):
            if path not in best and len(best) < self.k:
                best[path] = (cost, _steps(self.ends[index].layer, node, rank))
        return list(best.values())


def _sources(index: int, nodes: int, ranks: int) -> NDArray[np.int64]:
    node, rank = np.divmod(np.arange(nodes * ranks), ranks)
    return np.stack([np.full(nodes * ranks, index), node, rank], axis=1)


def _sounds(shapes: Shapes | None) -> list[tuple[int, ...]]:
    return [()] if shapes is None else shapes.sounds


def _distinct(costs: Costs, paths: Ranks, k: int) -> list[int]:
    """Return the places of the k cheapest ways of different classes, the first of equals first."""
    if k == 1:
        best = int(np.argmin(costs))
        return [best] if costs[best] < _FOREVER else []
    picks: list[int] = []
    seen: set[int] = set()
    for place in np.argsort(costs, kind="stable"):
        if costs[place] >= _FOREVER or len(picks) == k:
            break
        if int(paths[place]) not in seen:
            seen.add(int(paths[place]))
            picks.append(int(place))
    return picks


@lru_cache(maxsize=2048)
def _playable(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes of a chord within limits, tones left out where strings are too few.

    On more than four strings some may be muted, and the lowest pitch is the chord's bass; where it
    can be helped, four or more sound and none between them is muted.
    """
    strings = len(instrument.strings)
    many = strings > 4
    found = find_voicings(
        chord,
        instrument,
        max_fret=limits.max_fret,
        omit=usual_omissions(chord, strings),
        mutes=many,
        bass=chord.bass if many else None,
        limits=limits,
    )
    return tuple(v for v in found if _is_full(v)) or found


_FULL = 4


def _is_full(voicing: Voicing) -> bool:
    """Whether four strings or more sound (all, on fewer), with no muted one between them."""
    sounding = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    wanted = min(_FULL, len(voicing.frets))
    return len(sounding) >= wanted and len(sounding) == sounding[-1] - sounding[0] + 1


@lru_cache(maxsize=4096)
def _climb_from(
    voicing: Voicing, scale: SixthDiminished, steps: int, limits: Limits
) -> tuple[Voicing, ...]:
    """Return a shape carried up a scale, or nothing where a step leaves neck or hand."""
    if not voicing.pcs <= scale.chord.pcs:
        return ()
    try:
        shapes = chord_scale(scale, voicing, steps)
    except HarmonyError:
        return ()
    return shapes if all(fit(v.frets, v.instrument, limits) is not None for v in shapes) else ()


def _steps(layer: _Layer, node: int, rank: int) -> tuple[Step, ...]:
    """Return the steps of one way, walked from its end."""
    found: list[Step] = []
    here: _Layer | None = layer
    while here is not None:
        voicing = None if here.shapes is None else here.shapes.voicings[node]
        found.append(_step(here, voicing))
        if not here.parents:
            break
        index, node, rank = (int(n) for n in here.origin[node, rank])
        here = here.parents[index]
    found.reverse()
    return tuple(climb_reason(found, index) for index in range(len(found)))


def _step(layer: _Layer, voicing: Voicing | None) -> Step:
    part = layer.part
    return Step(
        part.chord,
        voicing,
        part.onset,
        part.beats,
        part.bar,
        part.move,
        part.reason,
        layer.slot.chord,
    )
