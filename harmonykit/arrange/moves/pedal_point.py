"""The pedal point: a chord that moves over a bass which is held."""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import approach


@dataclass(frozen=True, slots=True)
class PedalPoint:
    """The diminished seventh of the next root over a bass that the chart holds on both sides.

    Between C/G and G7 it is F♯°7 over G: the upper voices move, the bass does not (common practice,
    no source).  Four strings leave the bass to whoever plays it; where more strings sound, it is
    the lowest.  All other rules are those of a leading-tone diminished.
    """

    name: str = "pedal point"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the chord over the pedal point."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        rule = placing.broken_edge(slot, setting, held=True)
        if rule or target is None:
            yield Refused(rule)
            return
        added = approach(target.root)
        if rule := _broken(chord, target, added):
            yield Refused(rule)
            return
        over = added.over(chord.bass)
        reason = (
            f"{added.unicode} resolves to {target.unicode} over the pedal point "
            f"{chord.bass.unicode}"
        )
        yield placing.offer_late(slot, setting, over, self.name, reason, leads=True)


def _broken(chord: Chord, target: Chord, added: Chord) -> str:
    if not placing.bass_is_held(chord, target):
        return "the same bass comes before and after it"
    if target.is_diminished_seventh or chord.is_diminished_seventh:
        return placing.IN_A_ROW
    return placing.already_parent(chord, added)
