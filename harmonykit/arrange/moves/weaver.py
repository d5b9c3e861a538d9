"""The web of walks through one slot: on every beat the chord may be held, or left by step.

What a walk may do in time, ``walk`` says; on which beats, ``walk_beats``.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil

from harmonykit.arrange.moves.inside import chord_inside, has_major_seventh
from harmonykit.arrange.moves.placing import melody_clash, too_short
from harmonykit.arrange.moves.rule import Part, Setting, Web
from harmonykit.arrange.moves.walk_beats import TOO_SHORT, Node, Span, Tied, Time, beats_in
from harmonykit.arrange.slots import Piece, Slot, beat_weight
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.bar import beat_length

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
            self.refused = too_short(self.setting) if short else ""
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
                self.refused = self.refused or too_short(self.setting)
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
            self._clashes[place] = melody_clash(
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
