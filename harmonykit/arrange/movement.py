"""The changes of an arrangement one by one: how far the voices move, and how far they must.

Conventions.  A *change* is from one shape to a different one that follows it without a silence.  A
voice goes to the pitch with which it is paired from the lowest up (``staircase.voice_pairs``).  The
*least* is what the notes of the two shapes ask for whatever their octaves: the distance of their
pitch classes, with doubling where a shape doubles a note or the numbers of notes differ.  Bars are
counted as played, from 1, so that no number comes twice; a pick-up is bar 0.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement, Step, is_foreign
from harmonykit.theory.leading import staircase, voiceleading
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class Movement:
    """One change of shape.

    Parameters
    ----------
    before, after : Step
    number : int
        The bar as played in which the new shape begins.
    """

    before: Step
    after: Step
    number: int

    @property
    def voices(self) -> tuple[staircase.Pair, ...]:
        """The pitches from which and to which each voice goes, from the lowest up."""
        return tuple(staircase.voice_pairs(self.before.sounds, self.after.sounds))

    @property
    def semitones(self) -> int:
        """How far all voices move together."""
        return sum(abs(low - high) for low, high in self.voices)

    @property
    def leap(self) -> int:
        """How far the voice moves that moves most, in semitones."""
        return max(abs(low - high) for low, high in self.voices)

    @property
    def least(self) -> int:
        """The fewest semitones in which these notes can follow each other, in any octaves."""
        return least_semitones(self.before.sounds, self.after.sounds)

    @property
    def added(self) -> bool:
        """Whether it leads to a chord that the tune does not have."""
        return is_foreign(self.after.chord, self.after.written)


def least_semitones(before: staircase.Notes, after: staircase.Notes) -> int:
    """Return the fewest semitones between two chords of pitches, whatever their octaves.

    Examples
    --------
    >>> least_semitones((60, 64, 67), (64, 71, 79)), least_semitones((60, 64, 67, 72), (62, 65, 69))
    (1, 5)
    """
    here, there = (sorted({pitch % 12 for pitch in notes}) for notes in (before, after))
    sizes = {len(before), len(after), len(here), len(there)}
    return int(voiceleading.distance(here, there, doubling=len(sizes) > 1))


def movements(way: Arrangement) -> tuple[Movement, ...]:
    """Return the changes of an arrangement in playing order.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> from harmonykit.tune.tune import Tune
    >>> (way,) = reharmonise(Tune.parse("| C6 | Am7 | Dm7 |", key="C"), "ukulele", (), k=1)
    >>> [(each.number, each.least) for each in movements(way)]
    [(3, 4)]
    """
    return tuple(_movements(way))


def _movements(way: Arrangement) -> Iterator[Movement]:
    numbers = played_numbers(way)
    for before, after in pairwise(way.steps):
        here, there = before.voicing, after.voicing
        if here is not None and there is not None and here != there:
            yield Movement(before, after, numbers[after.bar])


def played_numbers(way: Arrangement) -> tuple[int, ...]:
    """Return the number of each bar as played."""
    return tuple(number for number, _ in way.tune.numbers)


def mean_semitones(moved: Sequence[Movement]) -> float:
    """Return how far all voices move at a change, on average; 0 where there is none."""
    return sum(each.semitones for each in moved) / len(moved) if moved else 0.0
