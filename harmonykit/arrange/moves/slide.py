"""The slide: the next chord's own shape, a fret above it or below, just before it."""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.theory.spelling import beside
from harmonykit.tune.bar import beat_length

SLIDE = "slide"
_FRETS = {"above": -1, "below": 1}


@dataclass(frozen=True, slots=True)
class Slide:
    """The next chord's shape a fret higher or lower on the last beat before it.

    Every finger goes one fret along its string, so that no string of it is open.  The chord before
    keeps a beat or more, what follows is on a heavier beat and is not a diminished seventh, and
    the melody has no note a semitone above a tone of it (common practice, no source).
    """

    name: str = SLIDE

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beat given to the slide from above, and from below."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        last = slot.pieces[-1]
        beat = beat_length(last.meter)
        rule = placing.broken_edge(slot, setting)
        if not rule and target is not None and target.is_diminished_seventh:
            rule = placing.IN_A_ROW
        rule = rule or (
            placing.ONE_BEAT
            if last.beats < 2 * beat
            else placing.broken_timing(slot, beat, setting)
        )
        if rule or target is None:
            yield Refused(rule)
            return
        start = last.onset + last.beats - beat
        for side, frets in _FRETS.items():
            slid = beside_chord(target, side)
            if clash := placing.melody_clash(slid, start, beat, last, setting):
                yield Refused(clash)
                continue
            way = "down" if frets < 0 else "up"
            reason = f"{slid.unicode} slides {way} a fret into {target.unicode}, every string"
            kept = [Part(slot.chord, p.onset, p.beats, p.bar) for p in slot.pieces[:-1]]
            kept.append(Part(slot.chord, last.onset, last.beats - beat, last.bar))
            put = Part(slid, start, beat, last.bar, self.name, reason, slides=frets)
            yield Variant((*kept, put), needs_next=True)


def beside_chord(target: Chord, side: str) -> Chord:
    """Return the chord a semitone above a chord, or below it, its root plainly named.

    Examples
    --------
    >>> [beside_chord(Chord.parse("Dm7"), side).symbol for side in ("above", "below")]
    ['Ebm7', 'C#m7']
    """
    root = _plain(beside(target.root, side))
    if target.bass == target.root:
        return Chord(root, target.degrees, root)
    bass = _plain(beside(target.bass, side))
    return Chord(root, target.degrees, bass)


def _plain(note: Note) -> Note:
    return note.at(None).plain()
