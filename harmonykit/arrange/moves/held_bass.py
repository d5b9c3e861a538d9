"""A chord that moves over a bass which stays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.placing import (
    IN_A_ROW,
    already_parent,
    bass_is_held,
    broken_edge,
    offer_late,
)
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import approach


@dataclass(frozen=True, slots=True)
class HeldBass:
    """The diminished seventh of the next root over a bass that the chart holds on both sides.

    Between C/G and G7 it is F♯°7 over G: the upper voices move, the bass does not (common practice,
    no source).  Four strings leave the bass to whoever plays it; where more strings sound, it is
    the lowest.  All other rules are those of an approach.
    """

    name: str = "held bass"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the chord over the held bass."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        rule = broken_edge(slot, setting, held=True)
        if rule or target is None:
            yield Refused(rule)
            return
        inserted = approach(target.root)
        if rule := _broken(chord, target, inserted):
            yield Refused(rule)
            return
        over = inserted.over(chord.bass)
        reason = (
            f"{inserted.unicode} moves to {target.unicode} over the bass {chord.bass.unicode}, "
            "which is held"
        )
        yield offer_late(slot, setting, over, self.name, reason, leads=True)


def _broken(chord: Chord, target: Chord, inserted: Chord) -> str:
    if not bass_is_held(chord, target):
        return "the bass is not held"
    if target.is_diminished_seventh or chord.is_diminished_seventh:
        return IN_A_ROW
    return already_parent(chord, inserted)
