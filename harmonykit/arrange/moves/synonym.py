"""The chord synonym: one shape under its other name (C6 = Am7)."""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.placing import ANOTHER_BASS, FINAL, INTO_SILENCE
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.interval import Interval
from harmonykit.theory.root_motion import falls_a_fifth

# Quality, quality of the other name, and the way to its root.
_OTHER_NAMES = {
    "6": ("m7", "-m3"),
    "m7": ("6", "m3"),
    "m6": ("m7b5", "-m3"),
    "m7b5": ("m6", "m3"),
}


@dataclass(frozen=True, slots=True)
class Synonym:
    """A sixth called a minor seventh, a minor sixth called half-diminished, and the reverse.

    The notes are the same (C6 = Am7, Cm6 = Am7♭5), so that it costs nothing; it is offered where
    the new root lies a fifth above the root that follows and the old one does not (common practice,
    no source).  Alone, what sounds does not change by it; with a bass player the bass does.
    """

    name: str = "chord synonym"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot under its chord's other name."""
        chord, target = slot.chord, slot.after
        if chord is None or chord.quality not in _OTHER_NAMES:
            return
        other = other_name(chord)
        rule = _broken(slot, chord, other)
        if rule or target is None:
            yield Refused(rule)
            return
        reason = _reason(chord, other, target, setting)
        parts = (Part(other, p.onset, p.beats, p.bar, self.name, reason) for p in slot.pieces)
        yield Variant(tuple(parts), keeps_first=False, free=True)


def other_name(chord: Chord) -> Chord:
    """Return the other chord of the same four notes.

    Examples
    --------
    >>> [other_name(Chord.parse(name)).symbol for name in ("C6", "Am7", "Cm6", "Am7b5")]
    ['Am7', 'C6', 'Am7b5', 'Cm6']
    """
    quality, way = _OTHER_NAMES[chord.quality]
    return Chord.of(chord.root.transpose(Interval.parse(way)).plain(), quality)


def _broken(slot: Slot, chord: Chord, other: Chord) -> str:
    target = slot.after
    if slot.final:
        return FINAL
    if target is None:
        return INTO_SILENCE
    if chord.bass != chord.root:
        return ANOTHER_BASS
    if falls_a_fifth(chord, target) or not falls_a_fifth(other, target):
        return "the new root resolves down a fifth and the old one does not"
    return ""


def _reason(chord: Chord, other: Chord, target: Chord, setting: Setting) -> str:
    notes = ", ".join(note.unicode for note in other.tones)
    heard = "the bass goes" if setting.bass_player else "it sounds the same; its root goes"
    return (
        f"{other.unicode} is a chord synonym of {chord.unicode}, the same notes {notes}: {heard} "
        f"down a fifth from {other.root.unicode} to {target.root.unicode}"
    )
