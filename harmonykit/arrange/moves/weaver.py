"""The web of walks through one slot: on every beat the chord may be held, or left by step.

What a walk may do in time, ``walk`` says.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from harmonykit.arrange.moves.inside import chord_inside, has_major_seventh
from harmonykit.arrange.moves.placing import melody_clash, too_short
from harmonykit.arrange.moves.rule import Part, Setting, Web
from harmonykit.arrange.slots import Piece, Slot, beat_weight
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.bar import beat_length

HELD = 2
"""So many beats make a chord one that is held."""

HALF = 2
"""From so heavy a beat on, the half of the bar, a diminished seventh may last two."""

AND = Fraction(1, 2)
"""How many beats a diminished seventh lasts on the *and*, before a heavy beat."""
_QUICK = Fraction(5, 3)
"""A chord on the *and*, which every string reaches by step, may be so many times quicker."""


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


class Weaver:
    """Makes the web of one slot on one scale."""

    def __init__(
        self,
        slot: Slot,
        setting: Setting,
        scale: SixthDiminished,
        name: str,
        ways: tuple[int, ...],
        leading: Sequence[Part] = (),
    ) -> None:
        self.slot, self.setting, self.scale = slot, setting, scale
        self.name, self.ways, self.leading = name, ways, leading
        chord = slot.chord
        inner = None if chord is None else chord_inside(chord)
        self.home = inner if inner and inner.pcs == scale.chord.pcs else scale.chord
        self.inside = bool(chord and inner == self.home != chord)
        self.arrives = bool(self.inside and chord and has_major_seventh(chord))
        self.shares = _shares_scale(slot, scale, setting)
        self.refused = ""
        self._root = chord.root.pitch_class if chord else 0
        self._counts = [piece.beats / beat_length(piece.meter) for piece in slot.pieces]
        self._weights: dict[tuple[int, Fraction], int] = {}

    def web(self) -> Web | None:
        """Return the web, or None where no walk fits; ``refused`` says why."""
        nodes: dict[Node, set[Node]] = {}
        exits: set[Node] = set()
        self._grow(None, nodes, exits)
        return self._tied(nodes, exits) if exits else None

    def _grow(self, last: Node | None, nodes: dict[Node, set[Node]], exits: set[Node]) -> None:
        """Go on from a part, or from the start, in each way that fits."""
        if last is not None and self._ends(last):
            if last.moved and (last.away or last.leads >= 0 or self._may_rest(last)):
                exits.add(last)
            return
        for node in self._after(last):
            known = node in nodes
            before = nodes.setdefault(node, set())
            if last is not None:
                before.add(last)
            if not known:
                self._grow(node, nodes, exits)

    def _ends(self, node: Node) -> bool:
        return node.piece == len(self.slot.pieces) - 1 and self._is_full(node)

    def _is_full(self, node: Node) -> bool:
        return node.start + node.beats == self._count(node.piece)

    def _count(self, piece: int) -> Fraction:
        return self._counts[piece]

    def _may_rest(self, node: Node) -> bool:
        """Whether a phrase may end on a part: it fills half of its bar, or the phrase goes on."""
        piece = self.slot.pieces[node.piece]
        return piece.bar not in self.setting.rests or 2 * node.beats >= self._count(node.piece)

    def _after(self, last: Node | None) -> Iterator[Node]:
        """Yield what may follow a part, or start the slot."""
        piece, start = self._place_after(last)
        left = self._count(piece) - start
        came = last is not None and (last.away or last.leads >= 0)
        if start.denominator == AND.denominator and last is not None and not came:
            if self._may_leave(last, piece, start, AND):
                yield from self._away(last, piece, start, AND)
            return
        if last is None and self.inside:
            held = (n for n in _lengths(left) if n >= HELD and self._lasts(piece, n))
            yield from (Node(piece, start, beats, written=True) for beats in held)
            return
        if start == 0 or came:
            yield from self._to_the_and(last, piece, start)
        for beats in _lengths(left):
            if (start == 0 or came) and self._may_stand(last, piece, start, beats):
                yield Node(piece, start, beats, moved=came or (last is not None and last.moved))
                ends = beats == left and piece == len(self.slot.pieces) - 1
                if self.arrives and ends and last is not None and last.away:
                    yield Node(piece, start, beats, moved=True, written=True)
            if last is not None and not came and self._may_leave(last, piece, start, beats):
                yield from self._away(last, piece, start, beats)

    def _away(self, last: Node, piece: int, start: Fraction, beats: Fraction) -> Iterator[Node]:
        """Yield the diminished sevenths that may stand there."""
        if start + beats == self._count(piece) and piece == len(self.slot.pieces) - 1:
            yield from self._out(last, piece, start, beats)
        elif self._sounds(self.scale.diminished, piece, start, beats):
            yield Node(piece, start, beats, away=True, moved=True)

    def _to_the_and(self, last: Node | None, piece: int, start: Fraction) -> Iterator[Node]:
        """Yield the chord held up to the *and* before a heavy beat, which a seventh then takes."""
        moved = last is not None
        if beat_length(self.slot.pieces[piece].meter).numerator % 3 == 0:
            return  # a dotted beat has no half
        for whole in range(1, int(self._count(piece) - start)):
            beats = whole + AND
            heavy = self._weight_after(piece, start + beats + AND) >= HALF
            quick = heavy and self.setting.lasts(self._needed(piece, AND))
            if quick and self._may_stand(last, piece, start, beats):
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
        return not self._is_second(piece) or start <= 1 or last.held

    def _out(self, last: Node, piece: int, start: Fraction, beats: Fraction) -> Iterator[Node]:
        """Yield what may end the slot: a diminished seventh that leads to the next chord."""
        if self.slot.pieces[piece].bar in self.setting.rests:
            return
        leading = self.leading if last.moved else []
        if self.shares and self._sounds(self.scale.diminished, piece, start, beats):
            yield Node(piece, start, beats, away=True, moved=True, goes_out=True)
        for place, part in enumerate(leading):
            if part.chord is not None and self._sounds(part.chord, piece, start, beats):
                yield Node(piece, start, beats, leads=place, moved=True)

    def _may_stand(self, last: Node | None, piece: int, start: Fraction, beats: Fraction) -> bool:
        """Whether the chord may be struck there for so long: walks are short, and rest in pairs."""
        if not self._lasts(piece, beats):
            return False
        if beats >= HELD or start:
            return True
        if last is None or not (last.away or last.leads >= 0):
            return last is None or last.held
        return self._is_second(piece)

    def _is_second(self, piece: int) -> bool:
        return self.slot.pieces[piece].bar in self.setting.seconds

    def _is_light(self, piece: int, start: Fraction, beats: Fraction) -> bool:
        """Whether a place is lighter than the one after it."""
        return self._weight(piece, start) < self._weight_after(piece, start + beats)

    def _weight(self, piece: int, start: Fraction) -> int:
        weight = self._weights.get((piece, start))
        if weight is None:
            found = self.slot.pieces[piece]
            weight = beat_weight(found.meter, found.at + start * beat_length(found.meter))
            self._weights[piece, start] = weight
        return weight

    def _weight_after(self, piece: int, end: Fraction) -> int:
        if end < self._count(piece):
            return self._weight(piece, end)
        pieces: list[Piece | None] = [*self.slot.pieces, self.slot.after_at]
        after = pieces[piece + 1]
        return 0 if after is None else beat_weight(after.meter, after.at)

    def _lasts(self, piece: int, beats: Fraction) -> bool:
        lasts = self.setting.lasts(self._needed(piece, beats))
        if not lasts:
            self.refused = self.refused or too_short(self.setting)
        return lasts

    def _needed(self, piece: int, beats: Fraction) -> Fraction:
        """Return how many quarters, as slow as others must be, make a part last."""
        quick = _QUICK if beats == AND else 1
        return quick * beats * beat_length(self.slot.pieces[piece].meter)

    def _sounds(self, chord: Chord, piece: int, start: Fraction, beats: Fraction) -> bool:
        """Whether a diminished seventh lasts, and does not rub with the melody."""
        if not self._lasts(piece, beats):
            return False
        found = self.slot.pieces[piece]
        beat = beat_length(found.meter)
        clash = melody_clash(chord, found.onset + start * beat, beats * beat, found, self.setting)
        self.refused = self.refused or clash
        return not clash

    def _tied(self, nodes: dict[Node, set[Node]], exits: set[Node]) -> Web:
        """Return the web of the parts from which an exit can be reached."""
        kept = set(exits)
        rest = list(exits)
        while rest:
            new = nodes[rest.pop()] - kept
            kept |= new
            rest += new
        order = sorted(kept, key=_order)
        places = {node: place for place, node in enumerate(order)}
        rested = frozenset(places[node] for node in order if self._needs_rest(node))
        return Web(
            tuple(self._part(node) for node in order),
            tuple(tuple(sorted(places[one] for one in nodes[node] & kept)) for node in order),
            tuple(sorted(places[node] for node in exits)),
            rested,
        )

    def _needs_rest(self, node: Node) -> bool:
        first = node.piece == 0 and node.start == 0
        return first and not node.held and not self._is_second(0)

    def _part(self, node: Node) -> Part:
        piece = self.slot.pieces[node.piece]
        beat = beat_length(piece.meter)
        onset, beats = piece.onset + node.start * beat, node.beats * beat
        if node.leads >= 0:
            part = self.leading[node.leads]
            return replace(part, onset=onset, beats=beats, bar=piece.bar)
        if node.written:
            return Part(self.slot.chord, onset, beats, piece.bar, scale=self.scale, ways=self.ways)
        chord = self.scale.diminished if node.away else self.home
        return Part(
            chord,
            onset,
            beats,
            piece.bar,
            self.name if node.moved or chord != self.slot.chord else "",
            scale=self.scale,
            ways=self.ways,
            away=node.away,
            into=self.scale if node.goes_out else None,
        )


def _lengths(left: Fraction) -> list[Fraction]:
    """Return how many beats a part may last: whole ones, or all that are left."""
    whole = [Fraction(n) for n in range(1, int(left) + 1)]
    return whole if left.denominator == 1 else [*whole, left]


def _order(node: Node) -> tuple[int, Fraction, Fraction, bool, int, bool, bool, bool]:
    return (
        node.piece, node.start, node.beats, node.away, node.leads, node.moved, node.goes_out,
        node.written,
    )  # fmt: skip


def _shares_scale(slot: Slot, scale: SixthDiminished, setting: Setting) -> bool:
    """Whether the next chord has the same scale, so that the walk may go on into it."""
    after = slot.after
    if after is None or slot.fermata or (slot.at_edge and not setting.across_sections):
        return False
    return any(one.pcs == scale.pcs and one.chord.pcs == after.pcs for one in scales_for(after))
