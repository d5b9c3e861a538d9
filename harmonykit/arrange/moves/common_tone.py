"""The common-tone diminished, on the root of the chord that it embellishes."""

from collections.abc import Iterator
from fractions import Fraction

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.slots import Piece, Slot, beat_weight, weight_at
from harmonykit.theory import key, spelling
from harmonykit.theory.chord import Chord, Degree
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass, replace

_FIFTH = 7
ON_ITS_WAY = "a dominant that resolves must not be delayed by its own diminished seventh"
BOTH_SIDES = "chords with the same root must come before and after it"


@dataclass(frozen=True, slots=True)
class CommonTone:
    """The common-tone diminished seventh before a chord, or between two chords of one root.

    It keeps the root of the chord that it embellishes, major or dominant (Integrated Music Theory,
    ch. 18b); its other notes are neighbours.  As an appoggiatura it takes the heavier beat, and the
    chord comes after it on a lighter one.  Between two chords of one root it is on the lighter
    beat: before the next bar, or within a bar of four on beat two.  Not on the final chord, unless
    as the appoggiatura; none delays a dominant that goes home (common practice, no source).
    """

    name: str = "common-tone diminished"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with the common-tone chord inside it, or at its end where it goes on."""
        chord = slot.chord
        if chord is None:
            return
        if rule := _broken(chord):
            yield Refused(rule)
            return
        added = spelling.common_tone(chord)
        reason = (
            f"{added.unicode} embellishes {chord.unicode}: the root {chord.root.unicode} is the "
            "common tone"
        )
        found = [self._offer(slot, setting, added, reason, *place) for place in _places(slot)]
        none = found[-1:] or [Refused(placing.FINAL if slot.final else BOTH_SIDES)]
        yield from [one for one in found if isinstance(one, Variant)] or none

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
        if clash := placing.melody_clash(chord, start, beats, piece, setting):
            return Refused(clash)
        put = Part(chord, start, beats, piece.bar, self.name, reason, leads=True)
        parts: list[Part] = []
        for each in slot.pieces:
            whole = Part(slot.chord, each.onset, each.beats, each.bar)
            parts += _around(whole, put) if each is piece else [whole]
        first = parts[0] is not put
        return Variant(tuple(parts), keeps_first=first, needs_next=parts[-1] is put)


def _around(whole: Part, put: Part) -> list[Part]:
    """Return a part with another put into it: what is before, that one, what is left."""
    end = whole.onset + whole.beats
    after = put.onset + put.beats
    rest = replace(whole, onset=after, beats=end - after)
    before = replace(whole, beats=put.onset - whole.onset)
    return [each for each in (before, put, rest) if each.beats]


def _broken(chord: Chord) -> str:
    major = Degree(3) in chord.degrees and Degree(5, 1) not in chord.degrees
    if not (major or chord.is_dominant):
        return "the chord must be major or dominant"
    if chord.bass != chord.root:
        return placing.ANOTHER_BASS
    return ""


def _places(slot: Slot) -> Iterator[tuple[Piece, Fraction, Fraction]]:
    """Yield the places where it may stand: bar, onset and length."""
    first = slot.pieces[0]
    early = placing.early_beats(first)
    if early is not None and slot.before is not None and slot.before != slot.chord:
        yield first, first.onset, early
    if slot.final:
        return
    for index, piece in enumerate(slot.pieces):
        beat = beat_length(piece.meter)
        if piece.whole and piece.beats == 4 * beat:
            yield piece, piece.onset + beat, beat
        goes_on = index + 1 < len(slot.pieces) or _keeps_root(slot)
        beats = placing.late_beats(piece)
        if goes_on and beats is not None:
            yield piece, piece.onset + piece.beats - beats, beats


def _keeps_root(slot: Slot) -> bool:
    """Return whether the chord that follows has the root of this one."""
    chord, after = slot.chord, slot.after
    if chord is None or after is None or after.bass != after.root:
        return False
    return chord.root.pitch_class == after.root.pitch_class


def _broken_place(
    slot: Slot, setting: Setting, piece: Piece, start: Fraction, beats: Fraction
) -> str:
    end = start + beats
    last = end == slot.onset + slot.beats
    if last and slot.fermata:
        return placing.AFTER_FERMATA
    if last and slot.at_edge and not setting.across_sections:
        return placing.ACROSS
    here = beat_weight(piece.meter, piece.at + start - piece.onset)
    if start == slot.onset:
        return ON_ITS_WAY if _resolves(slot, setting) else _broken_early(slot, setting, end, here)
    if _weight_at(slot, end) <= here:
        return placing.HEAVIER
    if not setting.lasts(beats) or not setting.lasts(start - piece.onset):
        return placing.too_short(setting)
    return ""


def _resolves(slot: Slot, setting: Setting) -> bool:
    """Whether a slot's chord is the key's V, or another dominant that goes a fifth down."""
    chord, after = slot.chord, slot.after
    if chord is None:
        return False
    above = (chord.root.pitch_class - setting.key.tonic.pitch_class) % 12
    on_its_way = chord.is_dominant and after is not None and key.falls_a_fifth(chord, after)
    return above == _FIFTH or on_its_way


def _broken_early(slot: Slot, setting: Setting, end: Fraction, here: int) -> str:
    """Return the rule that keeps out the appoggiatura, which ends at a moment."""
    if slot.before is not None and slot.before.is_diminished_seventh:
        return placing.IN_A_ROW
    if _weight_at(slot, end) >= here:
        return placing.LIGHTER
    first = slot.pieces[0]
    lengths = (end - first.onset, first.onset + first.beats - end)
    return "" if all(map(setting.lasts, lengths)) else placing.too_short(setting)


def _weight_at(slot: Slot, moment: Fraction) -> int:
    """Return the weight of a moment inside the slot or at its end."""
    return weight_at((*slot.pieces, *([slot.after_at] if slot.after_at else [])), moment)
