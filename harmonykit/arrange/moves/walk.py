"""The walk along the scale of chords: as long as one chord lasts, over the bar line and out of it.

A walk is offered as a web: on every beat the chord may be held or, on a lighter beat, its scale's
diminished seventh may be struck; which of the ways through it is taken, which way the strings go
and where they turn is the search's to choose.  What a walk may do in time:

- it begins on the chord as written, at once or after that was held, and every diminished seventh
  stands on a lighter beat than the chords on both sides;
- it goes on over the bar line, and into the next chord where that has the same scale (C6, Am7);
- in its last beats it may go to the diminished seventh of the next chord, where the moves that do
  so are allowed there;
- bars go in pairs: a walk of every beat starts in the first bar of a pair after a held chord and
  comes to rest in the second, so that six beats at most pass without one;
- it rests for half a bar at the end of a phrase.

All of it is common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from harmonykit.arrange.beats import beat_weight
from harmonykit.arrange.moves.dominants import broken_resolution
from harmonykit.arrange.moves.leading_tone import LeadingTone, Passing
from harmonykit.arrange.moves.placing import ANOTHER_BASS, FINAL, melody_clash, too_short
from harmonykit.arrange.moves.rootless_dominant import RootlessDominant
from harmonykit.arrange.moves.rootless_ninth import needs_the_ninth
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant, Web
from harmonykit.arrange.slots import Piece, Slot, melody_between
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.bar import beat_length

ASCENDING, DESCENDING = "ascending walk", "descending walk"
WAYS = {ASCENDING: 1, DESCENDING: -1}
"""The moves that walk, and which way the strings go."""

HELD = 2
"""So many beats make a chord one that is held."""

HALF = 2
"""From so heavy a beat on, the half of the bar, a diminished seventh may last two."""

_SEVENTH, _FLAT_NINTH = Degree(7), Degree(9, -1)
_LEADING_ON = (LeadingTone(), Passing(), RootlessDominant())


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk up or down the scale of chords (the sixth-diminished scale) while one chord lasts.

    Every string goes one scale step each time, so that the sixth chord (or what the chord has for
    one) and the diminished seventh sound by turns, the sixth chord on the heavier beats.  Not on
    the final chord; not under a held major seventh, in the chord or in the melody, which the sixth
    would rub.

    The scale is the usual one of the chord.  With a bass player, who sounds the root, the others
    serve too: for a major seventh the major scale on its fifth (which has no root to rub), for a
    dominant the minor one on its fifth (a rootless ninth, and so none before a minor chord unless
    the melody has the ninth) and, where it resolves down a fifth, on its ♭9.

    Where both ways are asked for, the walk up offers both: it may turn.
    """

    name: str = ASCENDING

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Web | Refused]:
        """Yield the slot as a web of walks on each scale that serves."""
        chord = slot.chord
        if chord is None or (self.name == DESCENDING and ASCENDING in setting.moves):
            return
        if rule := _broken(slot, chord, setting):
            yield Refused(rule)
            return
        both = {ASCENDING, DESCENDING} <= setting.moves
        ways = (1, -1) if both else (WAYS[self.name],)
        refused, offered = "", False
        for scale in _scales(slot, chord, setting):
            weaver = _Weaver(slot, setting, scale, self.name, ways)
            web = weaver.web()
            refused = refused or weaver.refused
            if web is not None:
                offered = True
                yield web
        if not offered:
            yield Refused(refused or "a walk does not fit the beats of this chord")


def leading_parts(slot: Slot, setting: Setting) -> list[Part]:
    """Return the diminished sevenths that may lead on from a slot, as the moves offer them."""
    found: dict[Chord | None, Part] = {}
    for rule in _LEADING_ON:
        if rule.name in setting.moves:
            for one in rule.offer(slot, setting):
                if isinstance(one, Variant) and len(one.parts) > len(slot.pieces):
                    found.setdefault(one.parts[-1].chord, one.parts[-1])
    return list(found.values())


def _scales(slot: Slot, chord: Chord, setting: Setting) -> list[SixthDiminished]:
    """Return the scales that serve: alone, only the usual one, which has the chord's root."""
    usual, *others = scales_for(chord)
    found = [] if _SEVENTH in chord.degrees else [usual]
    if setting.bass_player:
        found += [scale for scale in others if not _broken_scale(slot, chord, scale, setting)]
    return found


def _broken_scale(slot: Slot, chord: Chord, scale: SixthDiminished, setting: Setting) -> bool:
    if not chord.is_dominant:
        return False
    if _FLAT_NINTH.over(chord.root).pitch_class in scale.chord.pcs:
        target = slot.after
        return target is None or bool(broken_resolution(chord, target, setting.key))
    return needs_the_ninth(slot, setting)


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    if slot.final:
        return FINAL
    held = _SEVENTH in chord.degrees or _sung_seventh(slot, chord, setting)
    if held and not (setting.bass_player and chord.quality == "maj7"):
        return "not under a held major seventh"
    if chord.bass != chord.root:
        return ANOTHER_BASS
    if any(degree.number > 7 for degree in chord.degrees):
        return f"the scale lacks the tensions of {chord.unicode}"
    if not scales_for(chord):
        return f"{chord.unicode} has no sixth-diminished scale"
    return ""


def _sung_seventh(slot: Slot, chord: Chord, setting: Setting) -> bool:
    """Whether the melody holds the major seventh over the chord's root, for a beat or more."""
    seventh = _SEVENTH.over(chord.root).pitch_class
    sung = melody_between(setting.melody, slot.onset, slot.onset + slot.beats)
    beat = beat_length(slot.pieces[0].meter)
    return any(note.note.pitch_class == seventh and note.beats >= beat for note in sung)


@dataclass(frozen=True, slots=True)
class _Node:
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

    @property
    def held(self) -> bool:
        return self.beats >= HELD


class _Weaver:
    """Makes the web of one slot on one scale."""

    def __init__(
        self,
        slot: Slot,
        setting: Setting,
        scale: SixthDiminished,
        name: str,
        ways: tuple[int, ...],
    ) -> None:
        self.slot, self.setting, self.scale = slot, setting, scale
        self.name, self.ways = name, ways
        chord = slot.chord
        self.home = chord if chord and chord.pcs == scale.chord.pcs else scale.chord
        self.leading = leading_parts(slot, setting)
        self.shares = _shares_scale(slot, scale, setting)
        self.refused = ""
        self._root = chord.root.pitch_class if chord else 0

    def web(self) -> Web | None:
        """Return the web, or None where no walk fits; ``refused`` says why."""
        nodes: dict[_Node, set[_Node]] = {}
        exits: set[_Node] = set()
        self._grow(None, nodes, exits)
        return self._tied(nodes, exits) if exits else None

    def _grow(self, last: _Node | None, nodes: dict[_Node, set[_Node]], exits: set[_Node]) -> None:
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

    def _ends(self, node: _Node) -> bool:
        return node.piece == len(self.slot.pieces) - 1 and self._is_full(node)

    def _is_full(self, node: _Node) -> bool:
        return node.start + node.beats == self._count(node.piece)

    def _count(self, piece: int) -> Fraction:
        found = self.slot.pieces[piece]
        return found.beats / beat_length(found.meter)

    def _may_rest(self, node: _Node) -> bool:
        """Whether a phrase may end on a part: it fills half of its bar, or the phrase goes on."""
        piece = self.slot.pieces[node.piece]
        return piece.bar not in self.setting.rests or 2 * node.beats >= self._count(node.piece)

    def _after(self, last: _Node | None) -> Iterator[_Node]:
        """Yield what may follow a part, or start the slot."""
        piece, start = self._place_after(last)
        left = self._count(piece) - start
        came = last is not None and (last.away or last.leads >= 0)
        for beats in _lengths(left):
            if (start == 0 or came) and self._may_stand(last, piece, start, beats):
                yield _Node(piece, start, beats, moved=came or (last is not None and last.moved))
            if last is None or came or not self._may_leave(last, piece, start, beats):
                continue
            if beats == left and piece == len(self.slot.pieces) - 1:
                yield from self._out(last, piece, start, beats)
            elif self._sounds(self.scale.diminished, piece, start, beats):
                yield _Node(piece, start, beats, away=True, moved=True)

    def _place_after(self, last: _Node | None) -> tuple[int, Fraction]:
        if last is None:
            return 0, Fraction(0)
        if self._is_full(last):
            return last.piece + 1, Fraction(0)
        return last.piece, last.start + last.beats

    def _may_leave(self, last: _Node, piece: int, start: Fraction, beats: Fraction) -> bool:
        """Whether a diminished seventh may stand after a chord there: short, on a lighter beat."""
        if last.beats < max(beats, Fraction(1)) or not self._is_light(piece, start, beats):
            return False
        if self._weight(piece, start) >= self._weight(last.piece, last.start):
            return False
        if beats > HELD or (beats > 1 and self._weight(piece, start) < HALF):
            return False
        return not self._is_second(piece) or start <= 1 or last.held

    def _out(self, last: _Node, piece: int, start: Fraction, beats: Fraction) -> Iterator[_Node]:
        """Yield what may end the slot: a diminished seventh that leads to the next chord."""
        if self.slot.pieces[piece].bar in self.setting.rests:
            return
        leading = self.leading if last.moved else []
        if self.shares and self._sounds(self.scale.diminished, piece, start, beats):
            yield _Node(piece, start, beats, away=True, moved=True, goes_out=True)
        for place, part in enumerate(leading):
            if part.chord is not None and self._sounds(part.chord, piece, start, beats):
                yield _Node(piece, start, beats, leads=place, moved=True)

    def _may_stand(self, last: _Node | None, piece: int, start: Fraction, beats: Fraction) -> bool:
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
        found = self.slot.pieces[piece]
        return beat_weight(found.meter, found.at + start * beat_length(found.meter))

    def _weight_after(self, piece: int, end: Fraction) -> int:
        if end < self._count(piece):
            return self._weight(piece, end)
        pieces: list[Piece | None] = [*self.slot.pieces, self.slot.after_at]
        after = pieces[piece + 1]
        return 0 if after is None else beat_weight(after.meter, after.at)

    def _lasts(self, piece: int, beats: Fraction) -> bool:
        lasts = self.setting.lasts(beats * beat_length(self.slot.pieces[piece].meter))
        if not lasts:
            self.refused = self.refused or too_short(self.setting)
        return lasts

    def _sounds(self, chord: Chord, piece: int, start: Fraction, beats: Fraction) -> bool:
        """Whether a diminished seventh lasts, and does not rub with the melody."""
        if not self._lasts(piece, beats):
            return False
        found = self.slot.pieces[piece]
        beat = beat_length(found.meter)
        clash = melody_clash(chord, found.onset + start * beat, beats * beat, found, self.setting)
        self.refused = self.refused or clash
        return not clash

    def _tied(self, nodes: dict[_Node, set[_Node]], exits: set[_Node]) -> Web:
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

    def _needs_rest(self, node: _Node) -> bool:
        first = node.piece == 0 and node.start == 0
        return first and not node.held and not self._is_second(0)

    def _part(self, node: _Node) -> Part:
        piece = self.slot.pieces[node.piece]
        beat = beat_length(piece.meter)
        onset, beats = piece.onset + node.start * beat, node.beats * beat
        if node.leads >= 0:
            part = self.leading[node.leads]
            return replace(part, onset=onset, beats=beats, bar=piece.bar)
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


def _order(node: _Node) -> tuple[int, Fraction, Fraction, bool, int, bool, bool]:
    return (
        node.piece, node.start, node.beats, node.away, node.leads, node.moved, node.goes_out,
    )  # fmt: skip


def _shares_scale(slot: Slot, scale: SixthDiminished, setting: Setting) -> bool:
    """Whether the next chord has the same scale, so that the walk may go on into it."""
    after = slot.after
    if after is None or slot.fermata or (slot.at_edge and not setting.across_sections):
        return False
    return any(one.pcs == scale.pcs and one.chord.pcs == after.pcs for one in scales_for(after))
