"""What is played at each stretch of a melody: a chord below it, the note alone, a slide, silence.

Of all rows of shapes the cheapest is taken.  A note alone is played on the string that lies nearest
to the hand; a slide is the next shape a fret away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from harmonykit.arrange.block.stretches import ALONE as NOTE_ALONE
from harmonykit.arrange.block.stretches import MOVING, REST, SLIDE, Stretch
from harmonykit.arrange.block.under import FEWEST, TopShapes
from harmonykit.arrange.costs import Weights, cheapest_row
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord, Degree

ALONE = "outside the scale: the note alone"
LOW = "no chord fits below it: the note alone"
OCTAVE = "another octave"
SILENT = "not playable on the neck: silence"

_CROSSING = 3


@dataclass(frozen=True, slots=True)
class Played:
    """A stretch with the shapes that may play it, then the one that does."""

    at: Stretch
    pitch: int = 0
    shapes: tuple[Voicing, ...] = ()
    voicing: Voicing | None = None
    done: str = ""


def held(row: Sequence[Played]) -> list[Played]:
    """Return stretches with a long note's chord held where its lower voices cannot move."""
    found: list[Played] = []
    for each in row:
        stuck = bool(found) and found[-1].at.kind == MOVING and not found[-1].shapes
        if stuck and len(found) > 1:
            found.pop()
            found[-1] = replace(found[-1], at=replace(found[-1].at, end=each.at.end))
        else:
            found.append(each)
    return found


class Maker:
    """What may be played under a melody note."""

    def __init__(
        self, instrument: Instrument, limits: Limits, shift: int, *, every_note: bool
    ) -> None:
        self.instrument, self.limits, self.shift = instrument, limits, shift
        self.every_note = every_note
        self.shapes = TopShapes(instrument, limits)

    def play(self, at: Stretch) -> Played:
        """Return a stretch with its shapes, by the first rule of ``melody`` that can be kept."""
        if at.midi is None or at.sung is None:
            return Played(at)
        wanted = at.midi + self.shift
        for pitch in (wanted, wanted + 12, wanted - 12, wanted + 24, wanted - 24):
            moved = OCTAVE if pitch != wanted else ""
            if at.kind not in (NOTE_ALONE, SLIDE) and at.chord is not None:
                shapes, how, chord = self.shapes.under(at.chord, pitch)
                if shapes:
                    at = replace(at, chord=chord)
                    done = "; ".join(word for word in (moved, how) if word)
                    return Played(at, pitch, shapes, done=done)
            if at.kind == MOVING:
                break
            if self.shapes.single(pitch):
                return self._alone(at, pitch, moved)
        return Played(at) if at.kind == MOVING else Played(replace(at, kind=REST), done=SILENT)

    def _alone(self, at: Stretch, pitch: int, moved: str) -> Played:
        """Return a stretch with its note alone; listed where no chord could stand there."""
        why = LOW if at.kind not in (NOTE_ALONE, SLIDE) else ""
        outside = self.every_note and at.kind == NOTE_ALONE
        why = ALONE if outside or at.change.chord is None else why
        chord = at.change.chord
        if chord is None and at.sung is not None:
            chord = Chord.build(at.sung.note.at(None), (Degree(1),))
        kind = at.kind if at.kind == SLIDE else NOTE_ALONE
        told = replace(at, kind=kind, chord=at.chord if kind == SLIDE else chord)
        done = "; ".join(word for word in (why, moved) if word)
        return Played(told if kind == SLIDE else replace(told, reason=""), pitch, done=done)

    def placed(self, row: Sequence[Played], weights: Weights) -> tuple[list[Played], int]:
        """Return the stretches with the shape of each, and what the chords cost."""
        sounding = [n for n, each in enumerate(row) if each.shapes or each.at.kind == REST]
        shapes, cost = cheapest_row(
            [row[n].shapes for n in sounding], self.instrument, self.limits, weights
        )
        found = list(row)
        for place, voicing in zip(sounding, shapes, strict=True):
            found[place] = replace(found[place], voicing=voicing)
        for place in reversed(range(len(found))):
            if found[place].at.kind == SLIDE:
                found[place] = self._slid(found, place)
        for place, each in enumerate(found):
            if each.at.kind == NOTE_ALONE:
                found[place] = replace(each, voicing=self._nearest(found, place))
        return found, cost

    def _slid(self, row: Sequence[Played], place: int) -> Played:
        """Return a slide with the next shape a fret away, or its note alone."""
        each, after = row[place], row[place + 1]
        step = each.pitch - after.pitch
        if after.voicing is not None and abs(step) == 1 and len(after.voicing.sounding) >= FEWEST:
            frets = tuple(None if fret is None else fret + step for fret in after.voicing.frets)
            pressed = [fret for fret in frets if fret is not None]
            held = 0 not in after.voicing.frets and min(pressed) > 0
            if held and max(pressed) <= self.limits.max_fret and self.shapes.holds(frets):
                return replace(each, voicing=Voicing(self.instrument, frets))
        return replace(
            each, at=replace(each.at, kind=NOTE_ALONE, chord=each.at.change.chord, reason="")
        )

    def _nearest(self, row: Sequence[Played], place: int) -> Voicing:
        """Return a note alone where it goes on from the highest note before, on its string if near.

        The next chord's place counts half as much; an open string lies near to everything.
        """
        before = next((r.voicing for r in reversed(row[:place]) if r.voicing is not None), None)
        after = next((r.voicing for r in row[place + 1 :] if r.voicing is not None), None)

        def away(one: Voicing) -> tuple[int, int]:
            (string, fret), cost = _top_place(one), 0
            for shape, weight in ((before, 2), (after, 1)):
                if shape is not None:
                    there, high = _top_place(shape)
                    cost += weight * (fret and abs(fret - high) + _CROSSING * (string != there))
            return cost, fret

        return min(self.shapes.single(row[place].pitch), key=away)


def _top_place(voicing: Voicing) -> tuple[int, int]:
    """Return string and fret of the highest note."""
    pitch, string = max((pitch, n) for n, pitch in enumerate(voicing.midi) if pitch is not None)
    return (string, voicing.frets[string] or 0) if pitch else (string, 0)
