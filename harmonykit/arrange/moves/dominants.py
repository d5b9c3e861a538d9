"""The dominants that stand for a dominant: a tritone away, or of the same diminished seventh.

All rules are common practice, no source.  A check returns the rule that is broken, or nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.placing import broken_edge, offer_late, offer_whole
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.interval import Interval
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.theory.spelling import beside

_FIFTH, _ALTERED_NINTH = Degree(5), Degree(9, -1)


def is_called_dominant(chord: Chord) -> bool:
    """Whether charts write it as a dominant: with a minor seventh over a third or a suspension."""
    return Degree(7, -1) in chord.degrees and Degree(3, -1) not in chord.degrees


def broken_resolution(chord: Chord, target: Chord, key: Key) -> str:
    """Return the rule that keeps a chord from acting as the dominant of the one that follows."""
    place = (chord.root.pitch_class - key.tonic.pitch_class) % 12
    if place in (0, 5) and target.is_dominant:
        return f"{chord.unicode} is a blues chord, at home where it is"
    if place == 10 and key.mode == "major":
        return f"{chord.unicode} is the ♭VII7, which does not lead down a fifth"
    if (chord.root.pitch_class - target.root.pitch_class) % 12 != 7:
        return "the dominant resolves down a fifth"
    return ""


def broken_stand_in(slot: Slot, setting: Setting) -> str:
    """Return the rule that keeps another dominant from standing for the slot's own."""
    chord, target = slot.chord, slot.after
    if (rule := broken_edge(slot, setting)) or chord is None or target is None:
        return rule
    if not chord.is_dominant:
        return f"{chord.unicode} keeps its suspension"
    if rule := broken_resolution(chord, target, setting.key):
        return rule
    if chord.bass != chord.root:
        return "the chart asks for another bass"
    return ""


def offer_stand_in(
    slot: Slot, setting: Setting, chord: Chord, move: str, reason: str, *, leads: bool = True
) -> Iterator[Variant | Refused]:
    """Yield the slot as another chord, and with its last beats so."""
    yield offer_whole(slot, setting, chord, move, reason, leads=leads)
    late = offer_late(slot, setting, chord, move, reason, leads=leads)
    if isinstance(late, Variant):
        yield late


def seventh_on(note: Note) -> Chord:
    """Return the dominant seventh on a note, its root plainly named."""
    return Chord.of(note.at(None).plain(), "7")


@dataclass(frozen=True, slots=True)
class TritonePartner:
    """A dominant's partner a tritone away, wholly or in its last beats.

    Of a diminished seventh's four dominants these two share third and seventh, which change places
    (common practice; the notes are checked); root and fifth move by a semitone each.  The dominant
    resolves down a fifth, so that the partner's root falls by a semitone.  Not for a suspension, a
    slash chord, a blues I7 or IV7, or the ♭VII7 of a major key; not under a melody note a semitone
    above one of the partner's tones, its own ♭9 excepted.
    """

    name: str = "tritone partner"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the partner, and with its last beats so."""
        chord, target = slot.chord, slot.after
        if chord is None or not is_called_dominant(chord):
            return
        rule = broken_stand_in(slot, setting)
        if rule or target is None:
            yield Refused(rule)
            return
        # Named from above: it falls to its target by a semitone.
        partner = seventh_on(beside(target.root, "above"))
        reason = _partner_reason(chord, partner, target)
        yield from offer_stand_in(slot, setting, partner, self.name, reason)


def _partner_reason(chord: Chord, partner: Chord, target: Chord) -> str:
    third, seventh = (degree.over(chord.root).unicode for degree in (Degree(3), Degree(7, -1)))
    return (
        f"{partner.unicode} stands for {chord.unicode}, a tritone away: {third} and {seventh} are "
        f"third and seventh of both, and the root {partner.root.unicode} is a semitone above "
        f"{target.root.unicode}"
    )


# Of the four dominants of one diminished seventh, those a minor third up and down.
_WAYS = (Interval.parse("m3"), Interval.parse("-m3"))


@dataclass(frozen=True, slots=True)
class OtherParent:
    """A dominant for the one a minor third above or below it, of the same diminished seventh.

    The one above keeps fifth and seventh and loses the third (for G7 it is B♭7, with D and F); the
    one below keeps third and fifth and loses the seventh (E7, with B and D).  So this is no
    tritone partner: a note that makes the dominant is gone.  Its rules are those of that move
    (common practice, no source; the notes are checked).
    """

    name: str = "other parent"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as either dominant, and with its last beats so."""
        chord = slot.chord
        if chord is None or not is_called_dominant(chord):
            return
        if rule := broken_stand_in(slot, setting):
            yield Refused(rule)
            return
        for way in _WAYS:
            other = seventh_on(chord.root.transpose(way))
            yield from offer_stand_in(slot, setting, other, self.name, _parent_reason(chord, other))


def _parent_reason(chord: Chord, other: Chord) -> str:
    guides = {"third": Degree(3), "seventh": Degree(7, -1)}
    notes = {name: degree.over(chord.root) for name, degree in guides.items()}
    lost = next(name for name, note in notes.items() if note.pitch_class not in other.pcs)
    seventh = Chord.of(chord.root, "7")
    kept = [note.unicode for note in seventh.tones if note.pitch_class in other.pcs]
    return (
        f"{other.unicode} stands for {chord.unicode}, another dominant of the same diminished "
        f"seventh: {' and '.join(kept)} stay, the {lost} {notes[lost].unicode} is lost"
    )
