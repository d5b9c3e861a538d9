"""Every way to play a tune with some moves, as layers of shapes.

A layer holds the shapes that may play one part of a variant, with what each costs by itself, and
knows the layers from which it can be reached.  Parts that several variants of a slot begin with
share their layers.  The network says what may follow what, and which ways through it are the k
cheapest; ``front`` finds those that are best in one measure or another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange import costs as prices
from harmonykit.arrange.arrangement import ORNAMENTS
from harmonykit.arrange.clashes import count_added, goes_home
from harmonykit.arrange.costs import Shapes, Weights
from harmonykit.arrange.moves import Part, Setting, Variant, Web, as_written
from harmonykit.arrange.moves.inside import has_major_seventh
from harmonykit.arrange.moves.ornaments import SUSPENSION
from harmonykit.arrange.moves.walk_beats import HELD
from harmonykit.arrange.shapes import Row, ShapeBook
from harmonykit.arrange.slots import Slot, melody_between
from harmonykit.arrange.styles import Line
from harmonykit.arrange.walks import all_one_way, resolved, steps
from harmonykit.arrange.wishes import Demands
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.passes import Laid, Passes
from harmonykit.theory.leading.staircase import Notes
from harmonykit.theory.leading.ways import FOREVER, Costs, Place
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.bar import beat_length

URGENT = 4
"""So many times dearer is a chance not taken where a player asked for the move."""


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

    def node(self, voicing: Voicing | None) -> int | None:
        """Return which of the shapes one is, or None where it is not among them."""
        if self.shapes is None or voicing is None:
            return 0 if self.shapes is None and voicing is None else None
        places = (place for place, one in enumerate(self.shapes.voicings) if one == voicing)
        return next(places, None)

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
    line : Line, optional
        The wanted heights of the highest pitch.
    places : tuple of int
        How much is wanted in each bar of a phrase, in percent.
    extra : callable, optional
        By how many bits a variant makes the harmony more unusual.

    Attributes
    ----------
    layers : list of Layer
        Each after its parents.
    ends : list of End
        Where a way may stand after the slots that were added.
    dear_at : dict of (str, Fraction) to int
        What a use of a move costs beside its price, by its move and its onset.
    given : dict of Fraction to frozenset
        For slots that start at some moments, which chords alone may stand there, each with its
        onset and its length.
    urgent : bool
        Whether the player asked for a move wherever it fits.
    changes : dict
        What changes between rows of shapes cost, as they were found; two networks of one book of
        shapes can share them.
    """

    def __init__(
        self,
        book: ShapeBook,
        weights: Weights,
        demands: Demands | None = None,
        setting: Setting | None = None,
        line: Line | None = None,
        places: tuple[int, ...] = (100,),
        extra: Callable[[Variant, Sequence[Slot]], float] | None = None,
    ) -> None:
        self.book, self.weights, self.setting = book, weights, setting
        self.demands = demands or Demands()
        self.line, self.places, self.extra = line, places, extra
        self.dear_at: dict[tuple[str, Fraction], int] = {}
        self.given: dict[Fraction, frozenset[tuple[Chord | None, Fraction, Fraction]]] = {}
        self.urgent = False
        self.layers: list[Layer] = []
        self.ends: list[End] = []
        self._waiting: dict[int, list[End]] = defaultdict(list)
        self._count_of_slots = 0
        self._known: dict[tuple[object, ...], Layer] = {}
        self.changes: dict[tuple[object, ...], Costs] = {}
        self._sounded = False
        self._laid: Laid | None = None

    def add(
        self,
        slots: Sequence[Slot],
        offered: Sequence[tuple[str, Variant | Web]],
        prefer: str = "",
        *,
        written: bool = True,
    ) -> None:
        """Extend all ways by one slot.

        Parameters
        ----------
        slots : sequence of Slot
            The slot, and those after it that some variant covers.
        offered : sequence of (str, Variant or Web)
            Each with the name of its move.
        prefer : str
            The move beside which all others are a chance not taken; where it cannot be played, or
            none is preferred, only the slot as written is one.
        written : bool
            Whether the slot may stand as written, too.
        """
        slot = slots[0]
        plain = as_written(slot)
        rows = self.book.rows(plain.parts, slot)
        found = [(move, each, r) for move, each in offered if (r := self.rows(each, slots))]
        wanted = any(move == prefer for move, *_ in found)
        chance = any(not is_free(each) for _, each, _ in found)
        self._known.clear()
        if rows is not None and (written or not found):
            self._extend(slots, plain, rows, missed=chance and written)
        for move, each, shapes in found:
            missed = chance if is_free(each) and not wanted else wanted and move != prefer
            if isinstance(each, Web):
                self._spread(slot, each, shapes, missed=missed)
            else:
                self._extend(slots, each, shapes, missed=missed)
        self._count_of_slots += 1
        self.ends = self._waiting.pop(self._count_of_slots, [])
        self._sounded = self._sounded or slot.chord is not None

    def hold(
        self,
        choices: Sequence[Choice],
        asks: Sequence[Variant] = (),
        *,
        sounded: bool = True,
        needs_next: bool = False,
    ) -> None:
        """Go on with parts in the shapes that they have, so that a way ends or begins with them.

        Parameters
        ----------
        choices : sequence of Choice
        asks : sequence of Variant
            As what the first of them stands there, with what it asks of the slot before; any of
            them; nothing is asked where not given.
        sounded : bool
            Whether anything sounded before.
        needs_next : bool
            Whether they lead to the chord that the tune has next.
        """
        self._sounded = self._sounded or sounded
        slot, ends = choices[0].slot, self.ends
        if asks:
            ends = [end for end in ends if any(may_follow(end, each, slot) for each in asks)]
        if ends or not self.layers:
            before = tuple(dict.fromkeys(end.layer for end in ends))
            for each in choices:
                row = self.book.only(each.voicing, each.part)
                before = (self._layer(each.part, each.slot, row, before, 0, chained=False),)
            ends = [End(before[0], needs_next, 0)]
        self.ends = ends
        self._count_of_slots += 1

    def _stands(self, part: Part, slot: Slot) -> bool:
        """Whether no demand keeps a part from its slot."""
        if part.move and part.chord is not None and part.chord != slot.chord:
            for moment, refused in self.demands.refused:
                if slot.onset <= moment < slot.end and part.chord.pcs == refused.pcs:
                    return False
        given = self.given.get(slot.onset)
        return given is None or (part.chord, part.onset, part.beats) in given

    def rows(self, each: Variant | Web, slots: Sequence[Slot]) -> list[Row] | None:
        """Return the shapes of each part, or None where one has none within the limits."""
        if isinstance(each, Variant):
            late = each.scale is not None
            return self.book.late(each) if late else self.book.rows(each.parts, slots[0])
        rows = self.book.rows(each.parts, slots[0])
        return rows if rows is not None and _can_walk(each, rows) else None

    def _extend(
        self, slots: Sequence[Slot], variant: Variant, rows: list[Row], *, missed: bool
    ) -> None:
        waiting = self._waiting[self._count_of_slots + variant.slots]
        if not all(self._stands(part, _slot_at(slots, part)) for part in variant.parts):
            return
        if not self._count_of_slots:
            if self._keeps_count(variant, 0):
                waiting.append(self._end(slots, variant, rows, (), missed=missed, count=0))
            return
        for count, before in self._groups(slots[0]):
            layers = tuple(end.layer for end in before if may_follow(end, variant, slots[0]))
            if layers and self._keeps_count(variant, count):
                waiting.append(self._end(slots, variant, rows, layers, missed=missed, count=count))

    def _spread(self, slot: Slot, web: Web, rows: list[Row], *, missed: bool) -> None:
        """Extend all ways by each way through a web; its parts share their layers."""
        most = self.demands.changes_a_bar
        if most is not None:
            for each in web.rows():
                places = [web.parts.index(part) for part in each.parts]
                row = [rows[place] for place in places]
                self._extend([slot], each, row, missed=missed)
            return
        layers: dict[int, Layer] = {}
        price = self._chance(slot) if missed else 0
        for place, (part, shapes) in enumerate(zip(web.parts, rows, strict=True)):
            if not self._stands(part, slot):
                continue
            cost = self._put_in + self._lingers(part) if part.move else 0
            if web.before[place]:
                before = tuple(layers[one] for one in web.before[place] if one in layers)
                if not before:
                    continue
            else:
                cost += price
                ends = [end for end in self.ends if self._leads(end, web, place, slot)]
                if self._count_of_slots and not ends:
                    continue
                before = tuple(end.layer for end in ends)
            layers[place] = self._layer(part, slot, shapes, before, cost, chained=False)
        self._waiting[self._count_of_slots + 1] += [
            End(layers[place], web.parts[place].into is not None, 0)
            for place in web.exits
            if place in layers
        ]

    def _leads(self, end: End, web: Web, place: int, slot: Slot) -> bool:
        """Whether a way may go on with a first part of a web."""
        last, first = end.layer.part, web.parts[place]
        if place in web.rested and not _rests(end):
            return False
        return _may_come(last, first, slot, needs_next=end.needs_next)

    @property
    def _put_in(self) -> int:
        """What an added chord costs, less what it is worth."""
        return self.weights.change - self.weights.wish

    def _lingers(self, part: Part) -> int:
        """Return what it costs that the diminished seventh of an ornament is long."""
        seventh = part.chord is not None and part.chord.is_diminished_seventh
        if not seventh or part.move not in ORNAMENTS:
            return 0
        seconds = float(part.beats) * 60 / self.tempo
        return round(self.weights.linger * max(0.0, seconds - 1))

    def _chance(self, slot: Slot) -> int:
        """Return what a chance not taken costs in the last bar of a slot."""
        if self.urgent:
            return URGENT * self.weights.chance
        places = {} if self.setting is None else self.setting.places
        place = places.get(slot.pieces[-1].bar, 0)
        return self.weights.chance * self.places[place % len(self.places)] // 100

    def _whole(self, slot: Slot, variant: Variant) -> int:
        """Return what it costs that the chord as written does not sound first."""
        first = variant.parts[0].chord
        if first is None or slot.chord is None or first == slot.chord:
            return 0
        cost = self.weights.whole if first.is_diminished_seventh else 0
        opens = not self._sounded and self.setting is not None and len(self.setting.rests) > 1
        moved = first.pcs != slot.chord.pcs and variant.parts[0].move not in ORNAMENTS
        return cost + (self.weights.opening if opens and moved else 0)

    def _unusual(self, slots: Sequence[Slot], variant: Variant) -> int:
        """Return what the harmony of a variant costs."""
        moves = {part.move for part in variant.parts if part.move}
        if self.extra is None or not self.weights.harmony or moves <= ORNAMENTS:
            return 0
        return round(self.weights.harmony * max(0.0, self.extra(variant, slots)))

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
        slots: Sequence[Slot],
        variant: Variant,
        rows: list[Row],
        before: tuple[Layer, ...],
        *,
        missed: bool,
        count: int,
    ) -> End:
        price = self._chance(slots[0]) if missed else 0
        price += self._whole(slots[0], variant) + self._unusual(slots, variant)
        for index, (part, shapes) in enumerate(zip(variant.parts, rows, strict=True)):
            chained = index > 0 and variant.scale is not None
            if part.move and not variant.free:
                price += self._put_in + self._lingers(part)
            slot = _slot_at(slots, part)
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
        if self.line is not None and self.weights.contour:
            own = own + self.weights.contour * self.line.off(part.onset, shapes.tops)
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
        resolves = goes_home(part.chord, slot.chord, slot.after)
        return count_added(
            part.chord, slot.chord, shapes.pitches, notes, setting.key, resolves=resolves
        )

    def cheapest(
        self,
        k: int,
        progress: Callable[[int, int], None] | None = None,
        apart: Slot | None = None,
        only: Callable[[Part], bool] | None = None,
    ) -> list[tuple[int, list[Choice]]]:
        """Return the k cheapest ways with what they cost; of equals the first that was found.

        Two ways are one where their chords and sounding notes are the same at every moment.
        ``progress`` is told how many layers of how many are done; what it raises ends the search.
        Where a slot is to be looked at ``apart``, two ways are one where its chords are the same.
        ``only`` says which parts may be used; all where not given.
        """
        dear = [self._dear(layer.part) for layer in self.layers]
        if only is not None:
            pairs = zip(dear, self.layers, strict=True)
            dear = [cost if only(layer.part) else int(FOREVER) for cost, layer in pairs]

        heads = self._heads(apart) if k > 1 else []

        def told(index: int, place: int) -> Hashable:
            if apart is None:
                return heads[index], self.layers[index].sounds[place // prices.HEADINGS]
            return heads[index]

        return [
            (cost, self.choices([(layer, node // prices.HEADINGS) for layer, node in places]))
            for cost, places in Passes(self._laid_out(), dear, progress).kinds(k, told)
        ]

    def _heads(self, apart: Slot | None) -> list[int]:
        """Return for each layer a number that tells its part from others, 0 beside a slot apart."""
        known: dict[Hashable, int] = {}
        begin, end = (None, None) if apart is None else (apart.onset, apart.end)
        found = []
        for part in (layer.part for layer in self.layers):
            if begin is None or end is None:
                head: Hashable = (part.onset, part.chord)
            elif begin <= part.onset < end:
                head = (part.onset, part.chord, part.beats)
            else:
                found.append(0)
                continue
            found.append(known.setdefault(head, len(known) + 1))
        return found

    def _dear(self, part: Part) -> int:
        """Return what a use of a move costs beside its price."""
        return self.dear_at.get((part.move, part.onset), 0)

    def _laid_out(self) -> Laid:
        """Return the layers for a search, each shape once with each heading."""
        if self._laid is None or len(self._laid.own) != len(self.layers):
            self._laid = Laid(
                [np.repeat(layer.own, prices.HEADINGS) for layer in self.layers],
                [[(one.index, self._lined(one, la)) for one in la.parents] for la in self.layers],
                [end.layer.index for end in self.ends if not end.needs_next],
            )
        return self._laid

    def price_of(self, way: Sequence[Choice]) -> int | None:
        """Return what a way costs, or None where it is not among the network's."""
        known: dict[Part, list[Layer]] = defaultdict(list)
        for layer in self.layers:
            known[layer.part].append(layer)
        reached: dict[tuple[int, int], int] = {}
        for number, choice in enumerate(way):
            found: dict[tuple[int, int], int] = {}
            for layer in known[choice.part]:
                node = layer.node(choice.voicing)
                if node is None or bool(layer.parents) != bool(number):
                    continue
                own = int(layer.own[node]) + self._dear(layer.part)
                for place in range(prices.HEADINGS * node, prices.HEADINGS * (node + 1)):
                    costs = [
                        cost + int(self._lined(parent, layer)[before, place])
                        for parent in layer.parents
                        for (index, before), cost in reached.items()
                        if index == parent.index
                    ]
                    if costs or not number:
                        found[layer.index, place] = own + min(costs, default=0)
            reached = found
        ends = {end.layer.index for end in self.ends if not end.needs_next}
        costs = [cost for (index, _), cost in reached.items() if index in ends]
        cost = min(costs, default=int(FOREVER))
        return cost if cost < FOREVER else None

    def choices(self, places: Iterable[Place]) -> list[Choice]:
        """Return the parts and shapes of a way."""
        return [self.layers[layer].choice(node) for layer, node in places]

    def _lined(self, parent: Layer, layer: Layer) -> Costs:
        """Return the costs of all changes, for each heading of the highest pitch."""
        before, after = parent.shapes, layer.shapes
        if before is None or after is None:
            # After silence the ear expects nothing.
            shape = size_of(before) * prices.HEADINGS, size_of(after) * prices.HEADINGS
            return self.changes.setdefault(shape, np.zeros(shape, dtype=np.int64))
        key = ("line", *self._key(parent, layer))
        if key not in self.changes:
            gaps = after.tops[None, :] - before.tops[:, None]
            edges = self.changed(parent, layer)
            self.changes[key] = prices.with_headings(edges, gaps, self.weights)
        return self.changes[key]

    def _key(self, parent: Layer, layer: Layer) -> tuple[object, ...]:
        """Return what the costs of changes between two layers hang on."""
        link = _link(parent.part, layer.part)
        cadence = link and parent.part.into is not None and _is_cadence(layer)
        hurry = prices.hurry_of(float(parent.part.beats) * 60 / self.tempo)
        slides = parent.part.slides
        held = _prepared(layer)
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

    @property
    def tempo(self) -> float:
        """Quarters a minute."""
        return 120.0 if self.setting is None else self.setting.tempo

    def changed(self, parent: Layer, layer: Layer) -> Costs:
        """Return the costs of all changes; a walk goes by steps of its scale, or ends as it may."""
        before, after = parent.shapes, layer.shapes
        if before is None or after is None:
            return np.zeros((size_of(before), size_of(after)), dtype=np.int64)
        key = self._key(parent, layer)
        if key not in self.changes:
            edges = self.edges(
                before, after, prices.hurry_of(float(parent.part.beats) * 60 / self.tempo)
            )
            self.changes[key] = self._linked(edges, parent, layer, before, after)
        return self.changes[key]

    def edges(self, before: Shapes, after: Shapes, hurry: int = 4) -> Costs:
        """Return the costs of all changes between two rows, wherever they stand."""
        key = "edges", id(before), id(after), hurry
        if key not in self.changes:
            edges, travel = _pair(before, after, self.weights)
            self.changes[key] = edges + self.weights.travel * travel * hurry // 4
        return self.changes[key]

    def _linked(
        self, edges: Costs, parent: Layer, layer: Layer, before: Shapes, after: Shapes
    ) -> Costs:
        """Return the costs of changes, those that the parts do not allow out of reach."""
        if layer.chained:
            return np.where(np.eye(len(edges), dtype=bool), edges, FOREVER)
        if layer.part.one_voice:
            return np.where(_one_voice(parent, layer), edges, FOREVER)
        if (held := _prepared(layer)) is not None:
            return np.where(_holds(before, after, held), edges, FOREVER)
        if parent.part.slides:
            return np.where(_slid(before, after, parent.part.slides), edges, FOREVER)
        link = _link(parent.part, layer.part)
        if link is None:
            return edges
        scale, ways = link
        if parent.part.into is None or parent.part.scale is not None:
            allowed = _stepped((parent.part, before), (layer.part, after), scale, ways)
            return np.where(allowed, edges, FOREVER)
        parallel = steps(before, after, scale, 1) | steps(before, after, scale, -1)
        leading = layer.part.chord.root.pitch_class - 1 if layer.part.chord else 0
        ends = resolved(before, after, leading % 12)
        price = np.full(edges.shape, self.weights.loose, dtype=np.int64)
        price[parallel] = self.weights.parallel if _is_cadence(layer) else 0
        price[ends] = 0
        return edges + price


@lru_cache(maxsize=4096)
def _pair(before: Shapes, after: Shapes, weights: Weights) -> tuple[Costs, Costs]:
    """Return what changes between two rows cost, and their travel; once for all searches."""
    return prices.change_costs(before, after, weights), prices.travel_rounded(before, after)


def size_of(row: Row) -> int:
    """Return how many ways there are to play a part: silence is one."""
    return 1 if row is None else len(row)


def may_follow(end: End, variant: Variant, slot: Slot) -> bool:
    """Whether a variant may come after another: a target is kept, no diminished seventh doubled."""
    if end.needs_next and not variant.keeps_first:
        return False
    if variant.rested and not _rests(end):
        return False
    return _may_come(end.layer.part, variant.parts[0], slot, needs_next=end.needs_next)


def _may_come(last: Part, first: Part, slot: Slot, *, needs_next: bool) -> bool:
    """Whether a part may come after one of the slot before."""
    if needs_next and first.chord != slot.chord:
        home = last.into is not None and first.scale == last.into and not first.away
        if not home:
            return False
    if last.into is not None and last.scale is not None:
        # A walk that goes on into the next chord does so on its scale.
        return first.chord is not None and first.chord.pcs == last.into.chord.pcs
    if last.chord is None or first.chord is None or not (last.move or first.move):
        return True
    return not (last.chord.is_diminished_seventh and first.chord.is_diminished_seventh)


def _slid(before: Shapes, after: Shapes, frets: int) -> NDArray[np.bool_]:
    """Return which shapes lie so many frets from which on every string, none of them open."""
    muted = before.frets < 0
    moved = np.where(muted, -1, before.frets + frets)
    open_strings = (before.frets == 0).any(axis=1) | (moved == 0).any(axis=1)
    found: NDArray[np.bool_] = (moved[:, None, :] == after.frets[None, :, :]).all(axis=2)
    allowed: NDArray[np.bool_] = np.logical_and(found, ~open_strings[:, None])
    return allowed


def _prepared(layer: Layer) -> int | None:
    """Return the pitch class that a layer's shapes hold over from those before, if they must."""
    part = layer.part
    if part.move != SUSPENSION or part.delayed is None or part.scale is None:
        return None
    return part.scale.step(part.delayed) % 12


def _one_voice(parent: Layer, layer: Layer) -> NDArray[np.bool_]:
    """Return between which shapes one string goes a fret; where the chord goes on, none does."""
    before, after = parent.shapes, layer.shapes
    if before is None or after is None:
        return np.zeros((size_of(before), size_of(after)), dtype=bool)
    frets = np.abs(before.frets[:, None, :] - after.frets[None, :, :]).sum(axis=2)
    muted = ((before.frets < 0)[:, None, :] != (after.frets < 0)[None, :, :]).any(axis=2)
    same = parent.part.chord == layer.part.chord
    found: NDArray[np.bool_] = np.logical_and(frets == (0 if same else 1), ~muted)
    return found


def _holds(before: Shapes, after: Shapes, held: int) -> NDArray[np.bool_]:
    """Return between which shapes a pitch of a pitch class is held."""
    same = before.pitches[:, None, :, None] == after.pitches[None, :, None, :]
    sounds = (after.pitches >= 0) & (after.pitches % 12 == held)
    found: NDArray[np.bool_] = (same & sounds[None, :, None, :]).any(axis=(2, 3))
    return found


def _link(before: Part, after: Part) -> tuple[SixthDiminished, tuple[int, ...]] | None:
    """Return the scale by whose steps, and which way, a part follows another; None for freely.

    What leads into the next chord does so by that chord's scale; whether by a step or by another
    ending is told by the part before.
    """
    if before.into is not None:
        return before.into, before.ways or (1, -1)
    scale = after.scale
    if scale is not None and after.delayed is None and before.scale == scale:
        return (scale, after.ways) if before.away != after.away else None
    return None


def _stepped(
    before: tuple[Part, Shapes],
    after: tuple[Part, Shapes],
    scale: SixthDiminished,
    ways: Iterable[int],
) -> NDArray[np.bool_]:
    """Return which shapes follow which in a walk: by a step on every string.

    Where a major seventh is held before it, or comes on arrival, that seventh is the leading tone
    of the diminished seventh, and stays.  From another tension each string goes one way, to the
    next note of the diminished seventh.
    """
    (first, low), (then, high) = before, after
    chord = first.chord if then.away else then.chord
    if chord is not None and chord.pcs != scale.chord.pcs and first.scale == then.scale:
        leading = scale.diminished.root.pitch_class
        if not has_major_seventh(chord):
            return all_one_way(low, high, ways)
        return resolved(high, low, leading).T if then.away else resolved(low, high, leading)
    found = np.zeros((len(low), len(high)), dtype=bool)
    for way in ways:
        found |= steps(low, high, scale, way)
    return found


def _rests(end: End) -> bool:
    """Whether what sounds last is held for two beats, or nothing sounds."""
    part, slot = end.layer.part, end.layer.slot
    piece = next(piece for piece in slot.pieces if piece.bar == part.bar)
    return part.chord is None or part.beats >= HELD * beat_length(piece.meter)


def _is_cadence(layer: Layer) -> bool:
    """Whether a layer's chord comes to rest: nothing comes after it, or a section ends with it."""
    return layer.slot.final or layer.slot.at_edge or layer.slot.ends_sound


def _can_walk(web: Web, rows: list[Row]) -> bool:
    """Whether some shapes go through a web from end to end by steps of its scale."""
    reached: list[NDArray[np.bool_]] = []
    for place, (part, row) in enumerate(zip(web.parts, rows, strict=True)):
        if row is None or not web.before[place]:
            reached.append(np.ones(size_of(row), dtype=bool))
            continue
        found = np.zeros(len(row), dtype=bool)
        for before in web.before[place]:
            link, low = _link(web.parts[before], part), rows[before]
            if link is None or low is None:
                found |= reached[before].any()
                continue
            allowed = _stepped((web.parts[before], low), (part, row), *link)
            found |= allowed[reached[before]].any(axis=0)
        reached.append(found)
    return any(reached[place].any() for place in web.exits)


def is_free(each: Variant | Web) -> bool:
    """Whether a way to fill a slot costs no more than the slot as written."""
    return isinstance(each, Variant) and each.free


def _slot_at(slots: Sequence[Slot], part: Part) -> Slot:
    return next(slot for slot in slots if part.onset < slot.end)


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
