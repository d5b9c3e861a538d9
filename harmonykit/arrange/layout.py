"""Every way to play a tune with some moves, laid out as layers of shapes.

A layer holds the shapes that may play one part of a variant, with what each costs by itself, and
knows the layers from which it can be reached.  Parts that several variants of a slot begin with
share their layers.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction

from harmonykit.arrange.changing import Changing, changing_of
from harmonykit.arrange.linking import can_walk, may_come, may_follow, rests
from harmonykit.arrange.moves import Part, Variant, Web, as_written
from harmonykit.arrange.part_prices import Choice, End, Layer, PartPrices
from harmonykit.arrange.shapes import Row, ShapeBook
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord


class Layout:
    """All ways through a tune as layers, added slot by slot.

    Parameters
    ----------
    book : ShapeBook
    prices : PartPrices
    changing : Changing, optional
        What changes cost, as another network of the same book of shapes found it.

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
    """

    def __init__(
        self, book: ShapeBook, prices: PartPrices, changing: Changing | None = None
    ) -> None:
        self.book, self.prices = book, prices
        self.demands = prices.demands
        ends = () if prices.setting is None else prices.setting.rests
        self.changing = changing or changing_of(prices.weights, prices.tempo, frozenset(ends))
        self.dear_at: dict[tuple[str, Fraction], int] = {}
        self.given: dict[Fraction, frozenset[tuple[Chord | None, Fraction, Fraction]]] = {}
        self.layers: list[Layer] = []
        self.ends: list[End] = []
        self._waiting: dict[int, list[End]] = defaultdict(list)
        self._count_of_slots = 0
        self._known: dict[tuple[object, ...], Layer] = {}
        self._sounded = False

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

    def rows(self, each: Variant | Web, slots: Sequence[Slot]) -> list[Row] | None:
        """Return the shapes of each part, or None where one has none within the limits."""
        if isinstance(each, Variant):
            late = each.scale is not None
            return self.book.late(each) if late else self.book.rows(each.parts, slots[0])
        rows = self.book.rows(each.parts, slots[0])
        return rows if rows is not None and can_walk(each, rows) else None

    def _stands(self, part: Part, slot: Slot) -> bool:
        """Whether a part may stand in its slot by what is demanded and given."""
        given = self.given.get(slot.onset)
        told = (part.chord, part.onset, part.beats)
        return self.prices.stands(part, slot) and (given is None or told in given)

    def _extend(
        self, slots: Sequence[Slot], variant: Variant, rows: list[Row], *, missed: bool
    ) -> None:
        waiting = self._waiting[self._count_of_slots + variant.slots]
        slots = slots[: variant.slots]
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
        price = self.prices.chance(slot) if missed else 0
        for place, (part, shapes) in enumerate(zip(web.parts, rows, strict=True)):
            if not self._stands(part, slot):
                continue
            cost = self.prices.put_in + self.prices.lingers(part) if part.move else 0
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
        if place in web.rested and not rests(end):
            return False
        return may_come(last, first, slot, needs_next=end.needs_next)

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
        price = self.prices.chance(slots[0]) if missed else 0
        price += self.prices.whole(slots[0], variant, begins=not self._sounded)
        # What variants begin with alike costs alike: their harmony is paid where it differs.
        differs = next((at for at, part in enumerate(variant.parts) if part.move), 0)
        for index, (part, shapes) in enumerate(zip(variant.parts, rows, strict=True)):
            chained = index > 0 and variant.scale is not None
            if index == differs:
                price += self.prices.unusual(slots, variant)
            if part.move and not variant.free:
                price += self.prices.put_in + self.prices.lingers(part)
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
            own = self.prices.own(part, slot, shapes, begins=not self._sounded) + price
            layer = Layer(len(self.layers), part, slot, shapes, own, parents, chained)
            self.layers.append(layer)
            self._known[key] = layer
        return self._known[key]


def is_free(each: Variant | Web) -> bool:
    """Whether a way to fill a slot costs no more than the slot as written."""
    return isinstance(each, Variant) and each.free


def _slot_at(slots: Sequence[Slot], part: Part) -> Slot:
    """Return the one of the slots of a variant in which a part is."""
    return next((slot for slot in slots[:-1] if part.onset < slot.end), slots[-1])


def _chords_in(variant: Variant, bar: int) -> int:
    return sum(part.bar == bar for part in variant.parts)
