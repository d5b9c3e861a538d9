"""The walk along the scale of chords, and the web of its ways through a slot and over the bar line.

A walk is offered as a web: on every beat the chord may be held or, on a lighter beat, its scale's
diminished seventh may be struck; which of the ways through it is taken, which way the strings go
and where they turn is the search's to choose.  On which beats, ``walk_beats`` says.

What a walk may do in time:

- it begins on the chord as written, at once or after that was held, and every diminished seventh
  stands on a lighter beat than the chords on both sides;
- it goes on over the bar line, and into the next chord where that has the same scale (C6, Am7);
- in its last beats it may go to the diminished seventh of the next chord, where the moves that do
  so are allowed there;
- where an eighth is slow enough, a diminished seventh may stand on the *and* before a heavy beat;
- bars go in pairs: a walk of every beat starts in the first bar of a pair after a held chord and
  comes to rest in the second, so that six beats at most pass without one;
- it rests for half a bar at the end of a phrase.

All of it is common practice, no source.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil

from harmonykit.arrange.moves import dominants, placing, two_names
from harmonykit.arrange.moves.inside import chord_inside, has_major_seventh, walking_scales
from harmonykit.arrange.moves.leading_tone import LeadingTone, Passing
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant, Web
from harmonykit.arrange.moves.walk_beats import TOO_SHORT, Node, Span, Tied, Time, beats_in
from harmonykit.arrange.slots import Piece, Slot, beat_weight, melody_between
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass, replace

_FINE = 24
"""Beats are usually cut into parts of which so many make a beat."""


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
        self.name, self.ways = name, ways
        self.leading = [part for part in leading if part.chord is not None]
        chord = slot.chord
        inner = None if chord is None else chord_inside(chord)
        self.home = inner if inner and inner.pcs == scale.chord.pcs else scale.chord
        inside = bool(chord and inner == self.home != chord)
        arrives = bool(inside and chord and has_major_seventh(chord))
        after = slot.after_at
        self.beats = beats_in(
            Time(
                tuple(_span(piece, setting) for piece in slot.pieces),
                0 if after is None else beat_weight(after.meter, after.at),
                inside,
                arrives,
                _shares_scale(slot, scale, setting),
                len(self.leading),
            )
        )
        self.refused = ""
        self._clashes: dict[int, str] = {}

    def web(self) -> Web | None:
        """Return the web, or None where no walk fits; ``refused`` says why."""
        if self.setting.melody:
            tied = self._sung()
        else:
            tied, short = self.beats.whole
            self.refused = placing.too_short(self.setting) if short else ""
        return None if tied is None else self._web(tied)

    def _sung(self) -> Tied | None:
        """Return the parts of the walks that do not rub with the melody."""
        before = [set[int]() for _ in self.beats.nodes]
        seen, exits = set[int](), []
        rest = [(-1, iter(self.beats.first))]
        while rest:
            last, steps = rest[-1]
            place = next(steps, None)
            if place is None:
                rest.pop()
            elif place == TOO_SHORT:
                self.refused = self.refused or placing.too_short(self.setting)
            elif not self._rubs(place):
                if last >= 0:
                    before[place].add(last)
                if place not in seen:
                    seen.add(place)
                    rest.append((place, iter(self.beats.after[place])))
                    if self.beats.exits[place]:
                        exits.append(place)
        return self.beats.tied(before, exits)

    def _rubs(self, place: int) -> bool:
        """Whether a diminished seventh rubs with the melody."""
        node = self.beats.nodes[place]
        if not node.is_out:
            return False
        if place not in self._clashes:
            piece = self.slot.pieces[node.piece]
            start, beats = _quarters(node, piece)
            self._clashes[place] = placing.melody_clash(
                self._chord(node), start, beats, piece, self.setting
            )
        self.refused = self.refused or self._clashes[place]
        return bool(self._clashes[place])

    def _chord(self, node: Node) -> Chord:
        chord = self.leading[node.leads].chord if node.leads >= 0 else None
        return chord or (self.scale.diminished if node.away else self.home)

    def _web(self, tied: Tied) -> Web:
        parts = tuple(self._part(node) for node in tied.nodes)
        return Web(parts, tied.before, tied.exits, tied.rested)

    def _part(self, node: Node) -> Part:
        piece = self.slot.pieces[node.piece]
        onset, beats = _quarters(node, piece)
        if node.leads >= 0:
            part = self.leading[node.leads]
            return replace(part, onset=onset, beats=beats, bar=piece.bar)
        if node.written:
            return Part(self.slot.chord, onset, beats, piece.bar, scale=self.scale, ways=self.ways)
        chord = self._chord(node)
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


def _quarters(node: Node, piece: Piece) -> tuple[Fraction, Fraction]:
    """Return where a part starts in the tune, and how long it lasts, in quarters."""
    beat = beat_length(piece.meter)
    return piece.onset + node.start * beat, node.beats * beat


def _span(piece: Piece, setting: Setting) -> Span:
    """Return the time of a piece; two tempi at which the same lengths last have one time."""
    beat = beat_length(piece.meter)
    count = piece.beats / beat
    least = Fraction((setting.least_seconds - 1e-9) * setting.tempo / 60) / beat
    if _FINE % count.denominator == 0:
        least = Fraction(ceil(least * _FINE), _FINE)
    second, rests = piece.bar in setting.seconds, piece.bar in setting.rests
    return Span(piece.meter, piece.at, count, least, second, rests)


def _shares_scale(slot: Slot, scale: SixthDiminished, setting: Setting) -> bool:
    """Whether the next chord has the same scale, so that the walk may go on into it."""
    after = slot.after
    if after is None or slot.fermata or (slot.at_edge and not setting.across_sections):
        return False
    return any(one.pcs == scale.pcs and one.chord.pcs == after.pcs for one in scales_for(after))


ASCENDING, DESCENDING = "ascending walk", "descending walk"
WAYS = {ASCENDING: 1, DESCENDING: -1}
"""The moves that walk, and which way the strings go."""

_SEVENTH, _FLAT_NINTH = Degree(7), Degree(9, -1)
_LEADING_ON = (LeadingTone(), Passing(), dominants.RootlessDominant())


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk up or down the scale of chords (the sixth-diminished scale) while one chord lasts.

    Every string goes one scale step each time, so that the sixth chord (or what the chord has for
    one) and the diminished seventh sound by turns, the sixth chord on the heavier beats.  Not on
    the final chord; not under a major seventh that the melody holds, which the sixth would rub.  A
    major seventh, a ninth and the like walk as the chord inside them (``inside``).

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
        leading = leading_parts(slot, setting)
        refused, offered = "", False
        for scale in _scales(slot, chord, setting):
            weaver = Weaver(slot, setting, scale, self.name, ways, leading)
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
    sung = has_major_seventh(chord) and _sung_seventh(slot, chord, setting)
    return [
        scale
        for place, scale in enumerate(walking_scales(chord, rootless=setting.bass_player))
        if not (sung and place == 0) and not _broken_scale(slot, chord, scale, setting)
    ]


def _broken_scale(slot: Slot, chord: Chord, scale: SixthDiminished, setting: Setting) -> bool:
    if not chord.is_dominant or scale.tonic.pitch_class == chord.root.pitch_class:
        return False
    if _FLAT_NINTH.over(chord.root).pitch_class in scale.chord.pcs:
        target = slot.after
        return target is None or bool(dominants.broken_resolution(chord, target, setting.key))
    return two_names.needs_the_ninth(slot, setting)


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    if slot.final:
        return placing.FINAL
    others = setting.bass_player and has_major_seventh(chord)
    if _sung_seventh(slot, chord, setting) and not others:
        return "not under a held major seventh"
    if chord.bass != chord.root:
        return placing.ANOTHER_BASS
    if any(degree.number > 7 and degree.alter for degree in chord.degrees):
        return f"the scale lacks the tensions of {chord.unicode}"
    if not walking_scales(chord, rootless=setting.bass_player):
        return f"{chord.unicode} has no sixth-diminished scale"
    return ""


def _sung_seventh(slot: Slot, chord: Chord, setting: Setting) -> bool:
    """Whether the melody holds the major seventh over the chord's root, for a beat or more."""
    seventh = _SEVENTH.over(chord.root).pitch_class
    sung = melody_between(setting.melody, slot.onset, slot.onset + slot.beats)
    beat = beat_length(slot.pieces[0].meter)
    return any(note.note.pitch_class == seventh and note.beats >= beat for note in sung)
