"""What the moves that stand for a dominant have in common.

All rules are common practice, no source.  A check returns the rule that is broken, or nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from harmonykit.arrange.moves.placing import broken_edge, offer_late, offer_whole
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note

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
    slot: Slot, setting: Setting, chord: Chord, move: str, reason: str
) -> Iterator[Variant | Refused]:
    """Yield the slot as another dominant, and with its last beats so."""
    yield offer_whole(slot, setting, chord, move, reason, leads=True)
    late = offer_late(slot, setting, chord, move, reason, leads=True)
    if isinstance(late, Variant):
        yield late


def seventh_on(note: Note) -> Chord:
    """Return the dominant seventh on a note, its root plainly named."""
    return Chord.of(note.at(None).plain(), "7")
