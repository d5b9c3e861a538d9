"""The descending passing diminished: iii – ♭iii° – ii."""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.placing import IN_A_ROW, broken_edge, offer_late
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.diminished import approach


@dataclass(frozen=True, slots=True)
class Descending:
    """The diminished seventh a semitone above a minor chord, from a bass a whole step above.

    It is never called a dominant (common practice, no source).
    """

    name: str = "descending passing diminished"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the passing chord."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        rule = broken_edge(slot, setting)
        if rule or target is None:
            yield Refused(rule)
        elif not target.is_minor:
            yield Refused("it resolves to a minor chord")
        elif (chord.bass.pitch_class - target.bass.pitch_class) % 12 != 2:
            yield Refused(
                "the bass of the chord before is a whole step above that of the next chord"
            )
        elif chord.is_diminished_seventh:
            yield Refused(IN_A_ROW)
        else:
            added = approach(target, side="above")
            reason = f"{added.unicode} passes down to {target.unicode} by half steps"
            yield offer_late(slot, setting, added, self.name, reason, leads=True)
