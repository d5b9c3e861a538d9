"""The rootless dominant ♭9: the diminished seventh in place of a dominant."""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.dominants import broken_resolution, is_called_dominant, offer_stand_in
from harmonykit.arrange.moves.placing import ANOTHER_BASS, IN_A_ROW, broken_edge, scale_into
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.diminished import approach
from harmonykit.theory.key import Key


@dataclass(frozen=True, slots=True)
class RootlessDominant:
    """A dominant replaced by the diminished seventh of its ♭9, wholly or in its last beats.

    The flat ninth, a half step above, replaces the root; third, fifth and seventh stay.  The
    dominant resolves down a fifth, to no lighter beat, and is written 7 or 7♭9; not for a ninth,
    thirteenth, sus or ♯11, a blues I7 or IV7, or the ♭VII7 of a major key; not under melody notes a
    semitone above its tones, which are 2, 5, 8 and 11 above the dominant's root.
    """

    name: str = "rootless dominant"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the diminished seventh, and with its last beats so."""
        chord, target = slot.chord, slot.after
        if chord is None or not is_called_dominant(chord):
            return
        rule = broken_edge(slot, setting)
        if rule or target is None:
            yield Refused(rule)
            return
        added = _in_place_of(chord, target)
        rule = _broken(chord, target, added, setting.key)
        if rule:
            yield Refused(rule)
            return
        reason = _reason(chord, added)
        into = scale_into(added, target)
        yield from offer_stand_in(slot, setting, added, self.name, reason, leads=False, into=into)


def _in_place_of(chord: Chord, target: Chord) -> Chord:
    """Return the diminished seventh on the leading note, over the bass that the chart asks for."""
    added = approach(target.root)
    if chord.bass == chord.root or chord.bass.pitch_class not in added.pcs:
        return added
    return added.over(added.spell(chord.bass.pitch_class))


def _broken(chord: Chord, target: Chord, added: Chord, key: Key) -> str:
    if chord.quality not in ("7", "7b9"):
        return f"{chord.unicode} is not written 7 or 7♭9"
    if rule := broken_resolution(chord, target, key):
        return rule
    if target.is_diminished_seventh:
        return IN_A_ROW
    if chord.bass != chord.root and added.bass.pitch_class != chord.bass.pitch_class:
        return ANOTHER_BASS
    return ""


def _reason(dominant: Chord, chord: Chord) -> str:
    """Say what moves: the root rises to the flat ninth, unless that exists already."""
    ninth = Degree(9, -1).over(dominant.root).plain()
    stays = [note.unicode for note in dominant.tones if note.pitch_class in chord.pcs]
    kept = f"{', '.join(stays[:-1])} and {stays[-1]} stay"
    if ninth.pitch_class in dominant.pcs:
        lost = f"is {dominant.unicode} without its root"
        return f"{chord.unicode} {lost}: {dominant.root.unicode} is left out; {kept}"
    return (
        f"{chord.unicode} replaces {dominant.unicode} as its ♭9 chord without the root: "
        f"{ninth.unicode}, a half step above, replaces {dominant.root.unicode}; {kept}"
    )
