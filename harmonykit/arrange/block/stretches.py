"""A tune as stretches, each with one chord of the tune and one melody note, and what is there."""

from collections.abc import Iterator
from fractions import Fraction

from harmonykit.arrange.slots import melody_between
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Change, Sung, Tune
from harmonykit.values import dataclass

CHORD, PASSING, SLIDE, MOVING, ALONE, REST = "chord", "passing", "slide", "moving", "alone", "rest"
"""What may stand in a stretch."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A time with one chord of the tune and one melody note, or a rest.

    Parameters
    ----------
    change : Change
        The chord as written.
    sung : Sung or None
    start, end : Fraction
        Quarters from the start of the tune as played.
    kind : str
        What stands there: a chord, a slide, the note alone and so on.
    chord : Chord or None
        What sounds; the written chord where the note is alone.
    reason : str
        One sentence for what is added; empty for the chord as written.
    """

    change: Change
    sung: Sung | None
    start: Fraction
    end: Fraction
    kind: str = REST
    chord: Chord | None = None
    reason: str = ""

    @property
    def beats(self) -> Fraction:
        """How long it lasts, in quarters."""
        return self.end - self.start

    @property
    def midi(self) -> int | None:
        """The melody's pitch as written."""
        return None if self.sung is None else self.sung.note.midi


def stretches(tune: Tune) -> Iterator[Stretch]:
    """Yield a tune in stretches that have one chord and one melody note, or a rest."""
    melody = tune.melody
    for change in tune.changes:
        reached, end = change.onset, change.onset + change.beats
        for sung in melody_between(melody, reached, end):
            start, stop = max(sung.onset, reached), min(sung.onset + sung.beats, end)
            if stop <= start:
                continue
            if start > reached:
                yield Stretch(change, None, reached, start)
            yield Stretch(change, sung, start, stop)
            reached = stop
        if reached < end:
            yield Stretch(change, None, reached, end)
