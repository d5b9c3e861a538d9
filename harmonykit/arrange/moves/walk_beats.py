"""On which beats a walk may hold its chord and leave it: what of a web hangs on time alone.

Many slots have the same time (a bar of four beats in the middle of a phrase), whatever their
chords: the beats of each are found once.  Which chords stand there, and whether the melody lets
them, ``weaver`` says.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cached_property, lru_cache

from harmonykit.arrange.slots import beat_weight
from harmonykit.tune.bar import Meter, beat_length
from harmonykit.values import dataclass

HELD = 2
"""So many beats make a chord one that is held."""

HALF = 2
"""From so heavy a beat on, the half of the bar, a diminished seventh may last two."""

AND = Fraction(1, 2)
"""How many beats a diminished seventh lasts on the *and*, before a heavy beat."""
_QUICK = Fraction(5, 3)
"""A chord on the *and*, which every string reaches by step, may be so many times quicker."""

TOO_SHORT = -1
"""Stands among what may follow a part for what would be too short at the tempo."""


@dataclass(frozen=True, slots=True)
class Node:
    """A part of a web in the making: in which piece, from which beat, for how many; what it is."""

    piece: int
    start: Fraction
    beats: Fraction
    away: bool = False
    leads: int = -1
    """Of the chords that lead on, which; -1 for none."""
    moved: bool = False
    """Whether anything before it, or itself, is not as written."""
    goes_out: bool = False
    """Whether the scale's own diminished seventh ends the slot."""
    written: bool = False
    """Whether it is the chord as written, where another one inside it walks."""

    @property
    def held(self) -> bool:
        """Whether it lasts long enough to be heard as held."""
        return self.beats >= HELD

    @property
    def is_out(self) -> bool:
        """Whether it is another chord than the one that walks."""
        return self.away or self.leads >= 0


@dataclass(frozen=True, slots=True)
class Span:
    """The time of one piece of a slot.

    Parameters
    ----------
    meter : tuple of int
    at : Fraction
        Where it starts in its bar, in quarters.
    count : Fraction
        How many beats it has.
    least : Fraction
        How many beats a chord must last.
    second, rests : bool
        Whether its bar is the second of a pair, and whether a phrase ends in it.
    """

    meter: Meter
    at: Fraction
    count: Fraction
    least: Fraction
    second: bool
    rests: bool


@dataclass(frozen=True, slots=True)
class Time:
    """What the beats of a web hang on.

    Parameters
    ----------
    spans : tuple of Span
    after : int
        The weight of the beat that follows; 0 where none does.
    inside : bool
        Whether the chord that walks is another than the one as written, which is then held first.
    arrives : bool
        Whether the chord as written may end it.
    shares : bool
        Whether the next chord has the same scale.
    leading : int
        How many chords may lead on.
    """

    spans: tuple[Span, ...]
    after: int = 0
    inside: bool = False
    arrives: bool = False
    shares: bool = False
    leading: int = 0


@dataclass(frozen=True, slots=True)
class Tied:
    """Parts in order, what each may follow, which may end, and which want a chord held before."""

    nodes: tuple[Node, ...]
    before: tuple[tuple[int, ...], ...]
    exits: tuple[int, ...]
    rested: frozenset[int]


class Beats:
    """Every part of a web, and what may follow each, as far as time allows.

    Parameters
    ----------
    time : Time

    Attributes
    ----------
    nodes : list of Node
    first : tuple of int
        The places of the parts that may start the slot.
    after : list of tuple of int
        For each part what may follow it; ``TOO_SHORT`` for what would be too short.
    ends, exits : list of bool
        For each part whether it fills the slot, and whether a walk may end on it.
    """

    def __init__(self, time: Time) -> None:
        self.time = time
        self._weights: dict[tuple[int, Fraction], int] = {}
        self.nodes: list[Node] = []
        self.after: list[tuple[int, ...]] = []
        self._places: dict[Node, int] = {}
        self.first = self._numbered(None)
        for node in self.nodes:  # those that are found on the way among them
            self.after.append(() if self._fills(node) else self._numbered(node))
        self.ends = [self._fills(node) for node in self.nodes]
        self.exits = [
            end and node.moved and (node.is_out or self._may_rest(node))
            for node, end in zip(self.nodes, self.ends, strict=True)
        ]

    @cached_property
    def whole(self) -> tuple[Tied | None, bool]:
        """The parts of all walks, None where there is none; whether anything is too short."""
        before = [set[int]() for _ in self.nodes]
        for place, others in enumerate(self.after):
            for other in others:
                if other != TOO_SHORT:
                    before[other].add(place)
        steps = [self.first, *self.after]
        exits = [place for place, may in enumerate(self.exits) if may]
        return self.tied(before, exits), any(TOO_SHORT in each for each in steps)

    def tied(self, before: Sequence[set[int]], exits: Sequence[int]) -> Tied | None:
        """Return the parts from which an exit can be reached, in order; None where none can."""
        kept, rest = set(exits), list(exits)
        while rest:
            new = before[rest.pop()] - kept
            kept |= new
            rest += new
        order = sorted(kept, key=lambda place: _order(self.nodes[place]))
        places = {place: number for number, place in enumerate(order)}
        if not order:
            return None
        return Tied(
            tuple(self.nodes[place] for place in order),
            tuple(tuple(sorted(places[one] for one in before[place] & kept)) for place in order),
            tuple(sorted(places[place] for place in exits)),
            frozenset(places[place] for place in order if self._needs_rest(self.nodes[place])),
        )

    def _numbered(self, last: Node | None) -> tuple[int, ...]:
        found = []
        for node in self._after(last):
            if node is not None and node not in self._places:
                self._places[node] = len(self.nodes)
                self.nodes.append(node)
            found.append(TOO_SHORT if node is None else self._places[node])
        return tuple(found)

    def _fills(self, node: Node) -> bool:
        return node.piece == len(self.time.spans) - 1 and self._is_full(node)

    def _is_full(self, node: Node) -> bool:
        return node.start + node.beats == self._count(node.piece)

    def _count(self, piece: int) -> Fraction:
        return self.time.spans[piece].count

    def _may_rest(self, node: Node) -> bool:
        """Whether a phrase may end on a part: it fills half of its bar, or the phrase goes on."""
        span = self.time.spans[node.piece]
        return not span.rests or 2 * node.beats >= span.count

    def _after(self, last: Node | None) -> Iterator[Node | None]:
        """Yield what may follow a part, or start the slot; None for what would be too short."""
        piece, start = self._place_after(last)
        left = self._count(piece) - start
        came = last is not None and last.is_out
        if start.denominator == AND.denominator and last is not None and not came:
            if self._may_leave(last, piece, start, AND):
                yield from self._away(last, piece, start, AND)
            return
        if last is None and self.time.inside:
            for beats in _lengths(left):
                if beats >= HELD:
                    lasts = self._lasts(piece, beats)
                    yield Node(piece, start, beats, written=True) if lasts else None
            return
        if start == 0 or came:
            yield from self._to_the_and(last, piece, start)
        for beats in _lengths(left):
            if start == 0 or came:
                yield from self._stays(last, piece, start, beats)
            if last is not None and not came and self._may_leave(last, piece, start, beats):
                yield from self._away(last, piece, start, beats)

    def _stays(
        self, last: Node | None, piece: int, start: Fraction, beats: Fraction
    ) -> Iterator[Node | None]:
        """Yield the chord that walks, and as written where it arrives, if they may be struck."""
        may = self._may_stand(last, piece, start, beats)
        if may is None:
            yield None
        if not may:
            return
        yield Node(piece, start, beats, moved=last is not None and (last.is_out or last.moved))
        ends = start + beats == self._count(piece) and piece == len(self.time.spans) - 1
        if self.time.arrives and ends and last is not None and last.away:
            yield Node(piece, start, beats, moved=True, written=True)

    def _away(
        self, last: Node, piece: int, start: Fraction, beats: Fraction
    ) -> Iterator[Node | None]:
        """Yield the diminished sevenths that may stand there."""
        if start + beats == self._count(piece) and piece == len(self.time.spans) - 1:
            yield from self._out(last, piece, start, beats)
        else:
            lasts = self._lasts(piece, beats)
            yield Node(piece, start, beats, away=True, moved=True) if lasts else None

    def _to_the_and(self, last: Node | None, piece: int, start: Fraction) -> Iterator[Node | None]:
        """Yield the chord held up to the *and* before a heavy beat, which a seventh then takes."""
        moved = last is not None
        if beat_length(self.time.spans[piece].meter).numerator % 3 == 0:
            return  # a dotted beat has no half
        for whole in range(1, int(self._count(piece) - start)):
            beats = whole + AND
            heavy = self._weight_after(piece, start + beats + AND) >= HALF
            if heavy and self._lasts(piece, AND):
                may = self._may_stand(last, piece, start, beats)
                if may is None:
                    yield None
                elif may:
                    yield Node(piece, start, beats, moved=moved)

    def _place_after(self, last: Node | None) -> tuple[int, Fraction]:
        if last is None:
            return 0, Fraction(0)
        if self._is_full(last):
            return last.piece + 1, Fraction(0)
        return last.piece, last.start + last.beats

    def _may_leave(self, last: Node, piece: int, start: Fraction, beats: Fraction) -> bool:
        """Whether a diminished seventh may stand after a chord there: short, on a lighter beat."""
        if last.beats < max(beats, Fraction(1)) or not self._is_light(piece, start, beats):
            return False
        if self._weight(piece, start) >= self._weight(last.piece, last.start):
            return False
        if beats > HELD or (beats > 1 and self._weight(piece, start) < HALF):
            return False
        return not self.time.spans[piece].second or start <= 1 or last.held

    def _out(
        self, last: Node, piece: int, start: Fraction, beats: Fraction
    ) -> Iterator[Node | None]:
        """Yield what may end the slot: a diminished seventh that leads to the next chord."""
        if self.time.spans[piece].rests:
            return
        lasts = self._lasts(piece, beats)
        if self.time.shares:
            out = Node(piece, start, beats, away=True, moved=True, goes_out=True)
            yield out if lasts else None
        for place in range(self.time.leading if last.moved else 0):
            yield Node(piece, start, beats, leads=place, moved=True) if lasts else None

    def _may_stand(
        self, last: Node | None, piece: int, start: Fraction, beats: Fraction
    ) -> bool | None:
        """Whether the chord may be struck there for so long: walks are short, and rest in pairs.

        None if that is too short.
        """
        if not self._lasts(piece, beats):
            return None
        if beats >= HELD or start:
            return True
        if last is None or not last.is_out:
            return last is None or last.held
        return self.time.spans[piece].second

    def _is_light(self, piece: int, start: Fraction, beats: Fraction) -> bool:
        """Whether a place is lighter than the one after it."""
        return self._weight(piece, start) < self._weight_after(piece, start + beats)

    def _weight(self, piece: int, start: Fraction) -> int:
        weight = self._weights.get((piece, start))
        if weight is None:
            span = self.time.spans[piece]
            weight = beat_weight(span.meter, span.at + start * beat_length(span.meter))
            self._weights[piece, start] = weight
        return weight

    def _weight_after(self, piece: int, end: Fraction) -> int:
        if end < self._count(piece):
            return self._weight(piece, end)
        if piece + 1 == len(self.time.spans):
            return self.time.after
        after = self.time.spans[piece + 1]
        return beat_weight(after.meter, after.at)

    def _lasts(self, piece: int, beats: Fraction) -> bool:
        """Whether a part lasts: one on the *and* may be quicker than others."""
        return (_QUICK if beats == AND else 1) * beats >= self.time.spans[piece].least

    def _needs_rest(self, node: Node) -> bool:
        first = node.piece == 0 and node.start == 0
        return first and not node.held and not self.time.spans[0].second


@lru_cache(maxsize=1024)
def beats_in(time: Time) -> Beats:
    """Return the beats of a walk in a time."""
    return Beats(time)


def _lengths(left: Fraction) -> list[Fraction]:
    """Return how many beats a part may last: whole ones, or all that are left."""
    whole = [Fraction(n) for n in range(1, int(left) + 1)]
    return whole if left.denominator == 1 else [*whole, left]


def _order(node: Node) -> tuple[int, Fraction, Fraction, bool, int, bool, bool, bool]:
    return (
        node.piece, node.start, node.beats, node.away, node.leads, node.moved, node.goes_out,
        node.written,
    )  # fmt: skip
