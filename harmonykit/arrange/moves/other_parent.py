"""A dominant for one of the two that share only one of its guide notes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.dominants import (
    broken_stand_in,
    is_called_dominant,
    offer_stand_in,
    seventh_on,
)
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.interval import Interval

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
            yield from offer_stand_in(slot, setting, other, self.name, _reason(chord, other))


def _reason(chord: Chord, other: Chord) -> str:
    guides = {"third": Degree(3), "seventh": Degree(7, -1)}
    notes = {name: degree.over(chord.root) for name, degree in guides.items()}
    lost = next(name for name, note in notes.items() if note.pitch_class not in other.pcs)
    seventh = Chord.of(chord.root, "7")
    kept = [note.unicode for note in seventh.tones if note.pitch_class in other.pcs]
    return (
        f"{other.unicode} stands for {chord.unicode}, another dominant of the same diminished "
        f"seventh: {' and '.join(kept)} stay, the {lost} {notes[lost].unicode} is lost"
    )
