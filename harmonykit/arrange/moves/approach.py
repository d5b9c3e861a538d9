"""The approach from a semitone below."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.placing import IN_A_ROW, already_parent, broken_edge, offer_late
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.diminished import approach


@dataclass(frozen=True, slots=True)
class Approach:
    """The diminished seventh a semitone below the next bass.

    It is the rootless dominant with a flat ninth of its target, which is major, minor or dominant.
    It *passes* where the bass before lies a semitone below it again, and *leads* elsewhere.  Kept
    out where the chord repeats, where the chord before is already one of its parents (that one
    gains its ♭9 by it, and nothing is won), beside another diminished seventh, over a bass that the
    chart holds, into silence, where the target is on no heavier beat, where it or the chord before
    would be too short, or under a melody note a semitone above one of its tones.
    """

    name: str = "approach"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the approach chord."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        rule = broken_edge(slot, setting)
        if rule or target is None:
            yield Refused(rule)
            return
        inserted = approach(target)
        if rule := _broken(chord, target, inserted):
            yield Refused(rule)
            return
        reason = _reason(chord, inserted, target)
        yield offer_late(slot, setting, inserted, self.name, reason, leads=True)


def _broken(chord: Chord, target: Chord, inserted: Chord) -> str:
    if target.is_diminished_seventh or chord.is_diminished_seventh:
        return IN_A_ROW
    if not _may_be_led_to(target):
        return "the target is major, minor or dominant"
    return already_parent(chord, inserted)


def _may_be_led_to(target: Chord) -> bool:
    major = Degree(3) in target.degrees
    return target.is_minor or target.is_dominant or (major and Degree(5, 1) not in target.degrees)


def _reason(before: Chord, chord: Chord, target: Chord) -> str:
    rising = (chord.bass.pitch_class - before.bass.pitch_class) % 12 == 1
    word = "passes up" if rising else "leads"
    return f"{chord.unicode} {word} to {target.unicode} from a semitone below"
