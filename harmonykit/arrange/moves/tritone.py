"""The dominant a tritone away."""

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
from harmonykit.theory.spelling import beside


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
        reason = _reason(chord, partner, target)
        yield from offer_stand_in(slot, setting, partner, self.name, reason)


def _reason(chord: Chord, partner: Chord, target: Chord) -> str:
    third, seventh = (degree.over(chord.root).unicode for degree in (Degree(3), Degree(7, -1)))
    return (
        f"{partner.unicode} stands for {chord.unicode}, a tritone away: {third} and {seventh} are "
        f"third and seventh of both, and the root {partner.root.unicode} is a semitone above "
        f"{target.root.unicode}"
    )
