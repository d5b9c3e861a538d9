"""The common-tone diminished, on the root of the chord that it embellishes."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from harmonykit.arrange.beats import beat_weight
from harmonykit.arrange.moves.placing import (
    ACROSS,
    AFTER_FERMATA,
    ANOTHER_BASS,
    FINAL,
    HEAVIER,
    late_beats,
    melody_clash,
    too_short,
)
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.slots import Piece, Slot
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.spelling import common_tone
from harmonykit.tune.bar import beat_length

BOTH_SIDES = "the same chord comes before and after it"


@dataclass(frozen=True, slots=True)
class CommonTone:
    """The common-tone diminished seventh between a chord and its return.

    It keeps the root of the chord that it embellishes (Integrated Music Theory, ch. 18b); its other
    notes are neighbours.  The same major or dominant chord stands on both sides and returns on a
    heavier beat: in the next bar, or within a bar of four on its third beat.  None on the final
    chord (common practice, no source).
    """

    name: str = "common-tone diminished"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with the common-tone chord inside it, or at its end where it goes on."""
        chord = slot.chord
        if chord is None:
            return
        if rule := _broken(slot, chord):
            yield Refused(rule)
            return
        added = common_tone(chord)
        reason = (
            f"{added.unicode} embellishes {chord.unicode}: the root {chord.root.unicode} is the "
            "common tone"
        )
        found = [self._offer(slot, setting, added, reason, *place) for place in _places(slot)]
        yield from (
            [one for one in found if isinstance(one, Variant)] or found[:1] or [Refused(BOTH_SIDES)]
        )

    def _offer(
        self,
        slot: Slot,
        setting: Setting,
        chord: Chord,
        reason: str,
        piece: Piece,
        start: Fraction,
        beats: Fraction,
    ) -> Variant | Refused:
        """Return the slot with the chord at one place of one bar, or the rule against it."""
        if rule := _broken_place(slot, setting, piece, start, beats):
            return Refused(rule)
        if clash := melody_clash(chord, start, beats, piece, setting):
            return Refused(clash)
        put = Part(chord, start, beats, piece.bar, self.name, reason, leads=True)
        parts: list[Part] = []
        for each in slot.pieces:
            whole = Part(slot.chord, each.onset, each.beats, each.bar)
            parts += _around(whole, put) if each is piece else [whole]
        return Variant(tuple(parts), needs_next=parts[-1] is put)


def _around(whole: Part, put: Part) -> list[Part]:
    """Return a part with another put into it: what is before, that one, what is left."""
    end = whole.onset + whole.beats
    after = put.onset + put.beats
    rest = replace(whole, onset=after, beats=end - after)
    before = replace(whole, beats=put.onset - whole.onset)
    return [before, put, rest] if rest.beats else [before, put]


def _broken(slot: Slot, chord: Chord) -> str:
    if slot.final:
        return FINAL
    major = Degree(3) in chord.degrees and Degree(5, 1) not in chord.degrees
    if not (major or chord.is_dominant):
        return "it embellishes a major or dominant chord"
    if chord.bass != chord.root:
        return ANOTHER_BASS
    return ""


def _places(slot: Slot) -> Iterator[tuple[Piece, Fraction, Fraction]]:
    """Yield the places where the chord stands on both sides: bar, onset and length."""
    for index, piece in enumerate(slot.pieces):
        beat = beat_length(piece.meter)
        if piece.whole and piece.beats == 4 * beat:
            yield piece, piece.onset + beat, beat
        goes_on = index + 1 < len(slot.pieces) or slot.after == slot.chord
        beats = late_beats(piece)
        if goes_on and beats is not None:
            yield piece, piece.onset + piece.beats - beats, beats


def _broken_place(
    slot: Slot, setting: Setting, piece: Piece, start: Fraction, beats: Fraction
) -> str:
    end = start + beats
    last = end == slot.onset + slot.beats
    if last and slot.fermata:
        return AFTER_FERMATA
    if last and slot.at_edge and not setting.across_sections:
        return ACROSS
    if _weight_at(slot, end) <= beat_weight(piece.meter, piece.at + start - piece.onset):
        return HEAVIER
    if not setting.lasts(beats) or not setting.lasts(start - piece.onset):
        return too_short(setting)
    return ""


def _weight_at(slot: Slot, moment: Fraction) -> int:
    """Return the weight of a moment inside the slot or at its end."""
    for piece in (*slot.pieces, *([slot.after_at] if slot.after_at else [])):
        if piece.onset <= moment < piece.onset + piece.beats:
            return beat_weight(piece.meter, piece.at + moment - piece.onset)
    return 0
