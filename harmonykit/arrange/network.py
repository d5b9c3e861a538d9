"""Every way to play a tune with some moves, as layers of shapes.

A layer holds the shapes that may play one part of a variant, with what each costs by itself, and
knows the layers from which it can be reached.  Parts that several variants of a slot begin with
share their layers.  The network says what may follow what, and which ways through it are the k
cheapest; ``front`` finds those that are best in one measure or another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from harmonykit.arrange.clashes import count_added
from harmonykit.arrange.costs import Weights, change_costs
from harmonykit.arrange.demands import Demands
from harmonykit.arrange.moves import Part, Setting, Variant, as_written
from harmonykit.arrange.shapes import Row, ShapeBook
from harmonykit.arrange.slots import Slot, melody_between
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.leading.staircase import Notes
from harmonykit.theory.leading.ways import FOREVER, Costs, Place, Ways
from harmonykit.tune.bar import beat_length


@dataclass(frozen=True, slots=True)
class Choice:
    """A part of a way that was chosen, with its shape."""

    part: Part
    slot: Slot
    voicing: Voicing | None


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """The shapes of one part, what each costs by itself, and where it can be reached from.

    ``chained`` layers keep to the shape of the same place in their parent; ``index`` counts the
    network's layers.
    """

    index: int
    part: Part
    slot: Slot
    shapes: Row
    own: Costs
    parents: tuple[Layer, ...]
    chained: bool

    @property
    def sounds(self) -> list[Notes]:
        """The sounding pitches of each shape, sorted; silence is one way to play."""
        return [()] if self.shapes is None else self.shapes.sounds

    def choice(self, node: int) -> Choice:
        """Return the part with one of its shapes."""
        voicing = None if self.shapes is None else self.shapes.voicings[node]
        return Choice(self.part, self.slot, voicing)


@dataclass(frozen=True, slots=True)
class End:
    """The last layer of a variant, what it asks of the slot that follows, and the bar's chords."""

    layer: Layer
    needs_next: bool
    in_bar: int


class Network:
    """All ways through a tune, added slot by slot.

    Parameters
    ----------
    book : ShapeBook
    weights : Weights
    demands : Demands
    setting : Setting

    Attributes
    ----------
    layers : list of Layer
        Each after its parents.
    ends : list of End
        Where a way may stand after the slots that were added.
    """

    def __init__(
        self,
        book: ShapeBook,
        weights: Weights,
        demands: Demands | None = None,
        setting: Setting | None = None,
    ) -> None:
        self.book, self.weights, self.setting = book, weights, setting
        self.demands = demands or Demands()
        self.layers: list[Layer] = []
        self.ends: list[End] = []
        self._known: dict[tuple[object, ...], Layer] = {}
        self._changes: dict[tuple[int, int], Costs] = {}
        self._begun = self._sounded = False

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
        chance = any(not variant.free for _, variant, _ in found)
        self._known.clear()
        ends = [] if rows is None else self._extend(slot, written, rows, missed=chance)
        for move, variant, shapes in found:
            missed = chance if variant.free and not wanted else wanted and move != prefer
            ends += self._extend(slot, variant, shapes, missed=missed)
        self.ends, self._begun = ends, True
        self._sounded = self._sounded or slot.chord is not None

    def _extend(self, slot: Slot, variant: Variant, rows: list[Row], *, missed: bool) -> list[End]:
        if not self._begun:
            fits = self._keeps_count(variant, 0)
            return [self._end(slot, variant, rows, (), missed=missed, count=0)] if fits else []
        found = []
        for count, before in self._groups(slot):
            layers = tuple(end.layer for end in before if may_follow(end, variant))
            if layers and self._keeps_count(variant, count):
                found.append(self._end(slot, variant, rows, layers, missed=missed, count=count))
        return found

    def _groups(self, slot: Slot) -> Iterator[tuple[int, list[End]]]:
        """Yield the ends that have put the same number of chords into the slot's first bar."""
        if self.demands.changes_a_bar is None:
            yield 0, self.ends
            return
        groups: dict[int, list[End]] = defaultdict(list)
        for end in self.ends:
            same = end.layer.part.bar == slot.bar
            groups[end.in_bar if same else 0].append(end)
        yield from groups.items()

    def _keeps_count(self, variant: Variant, count: int) -> bool:
        """Whether no bar gets more chords than are allowed; the tune's own always stand."""
        most = self.demands.changes_a_bar
        if most is None or not any(part.move for part in variant.parts):
            return True
        first = variant.parts[0].bar
        for bar in {part.bar for part in variant.parts}:
            here = _chords_in(variant, bar) + (count if bar == first else 0)
            if here > most:
                return False
        return True

    def _end(
        self,
        slot: Slot,
        variant: Variant,
        rows: list[Row],
        before: tuple[Layer, ...],
        *,
        missed: bool,
        count: int,
    ) -> End:
        price = self.weights.chance if missed else 0
        for index, (part, shapes) in enumerate(zip(variant.parts, rows, strict=True)):
            chained = index > 0 and variant.scale is not None
            if part.move and not variant.free:
                price += self.weights.change
            before = (self._layer(part, slot, shapes, before, price, chained=chained),)
            price = 0
        last = variant.parts[-1].bar
        here = _chords_in(variant, last) + (count if last == variant.parts[0].bar else 0)
        return End(before[0], variant.needs_next, here)

    def _layer(
        self,
        part: Part,
        slot: Slot,
        shapes: Row,
        parents: tuple[Layer, ...],
        price: int,
        *,
        chained: bool,
    ) -> Layer:
        key = (part, id(shapes), tuple(parent.index for parent in parents), price, chained)
        if key not in self._known:
            own = self._own(part, slot, shapes) + price
            layer = Layer(len(self.layers), part, slot, shapes, own, parents, chained)
            self.layers.append(layer)
            self._known[key] = layer
        return self._known[key]

    def _own(self, part: Part, slot: Slot, shapes: Row) -> Costs:
        """Return what each shape of a part costs there, clashes and demands in it."""
        if shapes is None:
            return np.zeros(1, dtype=np.int64)
        own: Costs = shapes.own
        added = self._added(part, slot, shapes)
        if added is not None:
            own = own + self.weights.clash * added
            if self.demands.no_added_clashes:
                own = np.where(added > 0, FOREVER, own)
        first = self.demands.first
        if first is not None and not self._sounded and part.onset == slot.onset:
            own = np.where([voicing == first for voicing in shapes.voicings], own, FOREVER)
        last = self.demands.last
        if last is not None and slot.ends_sound and part.onset + part.beats == slot.end:
            own = np.where([voicing == last for voicing in shapes.voicings], own, FOREVER)
        return own

    def _added(self, part: Part, slot: Slot, shapes: Row) -> Costs | None:
        setting = self.setting
        if setting is None or not setting.melody or shapes is None or part.chord is None:
            return None
        if part.chord == slot.chord:
            return None
        notes = _heard(part, slot, setting)
        return count_added(part.chord, slot.chord, shapes.pitches, notes, setting.key)

    def cheapest(
        self, k: int, progress: Callable[[int, int], None] | None = None
    ) -> list[tuple[int, list[Choice]]]:
        """Return the k cheapest ways with what they cost; of equals the first that was found.

        Two ways are one where their chords and sounding notes are the same at every moment.
        ``progress`` is told how many layers of how many are done; what it raises ends the search.
        """
        ways = Ways(k)
        for layer in self.layers:
            moment = ways.number((layer.part.onset, layer.part.chord))
            before = [(parent.index, self._changed(parent, layer)) for parent in layer.parents]
            ways.add(layer.own, before, [(moment, sounds) for sounds in layer.sounds])
            if progress is not None:
                progress(layer.index + 1, len(self.layers))
        ends = [end.layer.index for end in self.ends if not end.needs_next]
        return [(cost, self.choices(places)) for cost, places in ways.best(ends)]

    def choices(self, places: Iterable[Place]) -> list[Choice]:
        """Return the parts and shapes of a way."""
        return [self.layers[layer].choice(node) for layer, node in places]

    def _changed(self, parent: Layer, layer: Layer) -> Costs:
        """Return the costs of all changes; a walk keeps to the chain that it began on."""
        edges = self.edges(parent.shapes, layer.shapes)
        return np.where(np.eye(len(edges), dtype=bool), edges, FOREVER) if layer.chained else edges

    def edges(self, before: Row, after: Row) -> Costs:
        """Return the costs of all changes; silence costs nothing on either side."""
        if before is None or after is None:
            return np.zeros((size_of(before), size_of(after)), dtype=np.int64)
        key = (id(before), id(after))
        if key not in self._changes:
            self._changes[key] = change_costs(before, after, self.weights)
        return self._changes[key]


def size_of(row: Row) -> int:
    """Return how many ways there are to play a part: silence is one."""
    return 1 if row is None else len(row)


def may_follow(end: End, variant: Variant) -> bool:
    """Whether a variant may come after another: a target is kept, no diminished seventh doubled."""
    if end.needs_next and not variant.keeps_first:
        return False
    last, first = end.layer.part, variant.parts[0]
    if last.chord is None or first.chord is None or not (last.move or first.move):
        return True
    return not (last.chord.is_diminished_seventh and first.chord.is_diminished_seventh)


def _chords_in(variant: Variant, bar: int) -> int:
    return sum(part.bar == bar for part in variant.parts)


def _heard(part: Part, slot: Slot, setting: Setting) -> list[int]:
    """Return the melody notes over a part that are on a beat or last half a beat or more."""
    piece = next(piece for piece in slot.pieces if piece.bar == part.bar)
    beat = beat_length(piece.meter)
    start: Fraction = piece.onset - piece.at
    found = melody_between(setting.melody, part.onset, part.onset + part.beats)
    return [
        sung.note.midi
        for sung in found
        if ((sung.onset - start) / beat).denominator == 1 or sung.beats >= beat / 2
    ]
