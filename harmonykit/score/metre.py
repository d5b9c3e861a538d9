"""How a metre is written: where notes are cut and tied, where rests are cut, what a beam joins.

Conventions (common practice of engravers, no source).  Places are quarters from the start of a
whole measure.  Each has a grade: 0 is the start, 1 the middle where the beats are even in number;
then come the beats and their halves, each a grade weaker.  The parts of a dotted beat are two
grades weaker than it.  A note stands over one place that is a grade stronger than its weaker end,
and over any that are not stronger.  A rest stands only over weaker ones, but for the first two
parts of a dotted beat.  What divides a beat by three, five or more is cut only where no single
value says it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from harmonykit.score.values import values_of
from harmonykit.tune.bar import Meter, bar_length

_FINEST = Fraction(1, 64)
# Beyond any grade: what stands on no place of the metre.
_OFF = 99


@dataclass(frozen=True, slots=True)
class Metre:
    """The places of a metre: ``groups`` and ``beats`` in quarters, the finer ones by halving.

    Parameters
    ----------
    length : Fraction
    groups : tuple of Fraction
        Where the measure is divided first, without its start.
    beats : tuple of Fraction
        Where each beat starts, with the start of the measure.
    part : Fraction
        The first part of a beat: its half, or its third where the beat is dotted.
    dotted : bool
    """

    length: Fraction
    groups: tuple[Fraction, ...]
    beats: tuple[Fraction, ...]
    part: Fraction
    dotted: bool

    def grade(self, at: Fraction) -> int:
        """Return how weak a place is, from 0 at the start of the measure."""
        if at % self.length == 0:
            return 0
        if at in self.groups:
            return 1
        lower = 1 if self.groups else 0
        if at in self.beats:
            return lower + 1
        step, grade = self.part, lower + (3 if self.dotted else 2)
        while at % step:
            step, grade = step / 2, grade + 1
            if step < _FINEST:
                return _OFF
        return grade

    def beat_at(self, at: Fraction) -> int:
        """Return the number of the beat that a place lies in, from 0."""
        return sum(beat <= at for beat in self.beats)

    def strongest(self, at: Fraction, end: Fraction) -> tuple[int, list[Fraction]]:
        """Return the least grade between two places, and the places that have it."""
        step = self.part
        places = {*self.groups, *self.beats}
        inside = [place for place in sorted(places) if at < place < end]
        while not inside and step >= _FINEST:
            first = (at // step + 1) * step
            inside = [first] if first < end else []
            while inside and inside[-1] + step < end:
                inside.append(inside[-1] + step)
            step /= 2
        grade = min(map(self.grade, inside), default=_OFF)
        return grade, [place for place in inside if self.grade(place) == grade]


@lru_cache(maxsize=256)
def metre_of(meter: Meter) -> Metre:
    """Return the places of a metre.

    Examples
    --------
    >>> four = metre_of((4, 4))
    >>> [four.grade(Fraction(n, 2)) for n in range(8)]
    [0, 3, 2, 3, 1, 3, 2, 3]
    >>> [int(2 * at) for at in metre_of((7, 8)).beats]
    [0, 2, 4]
    """
    upper, lower = meter
    unit, length = Fraction(4, lower), bar_length(meter)
    if lower >= 8 and upper % 3 == 0:
        beat, part, dotted = 3 * unit, unit, True
    elif lower >= 8:
        beat, part, dotted = 2 * unit, unit, False
    else:
        beat, part, dotted = unit, unit / 2, False
    count = max(int(length / beat), 1)
    beats = tuple(beat * number for number in range(count))
    even = count * beat == length and count % 2 == 0 and count > 2
    return Metre(length, (length / 2,) if even else (), beats, part, dotted)


def cut(at: Fraction, beats: Fraction, metre: Metre, *, rest: bool) -> Iterator[Fraction]:
    """Yield the lengths as which a note or a rest is written.

    Examples
    --------
    >>> four = metre_of((4, 4))
    >>> [str(length) for length in cut(Fraction(1, 2), Fraction(2), four, rest=False)]
    ['3/2', '1/2']
    >>> [str(length) for length in cut(Fraction(1), Fraction(3), four, rest=True)]
    ['1', '2']
    """
    end = at + beats
    values = list(values_of(beats))
    single = len(values) == 1 and values[0].dots < (2 if rest else 3)
    grade, places = metre.strongest(at, end)
    off = _OFF in (metre.grade(at), metre.grade(end))
    if not places or (single and (off or not _hides(metre, at, end, rest=rest))):
        yield from (value.beats for value in values)
        return
    # From a strong place the longer value comes first.
    place = places[-1] if metre.grade(at) <= grade else places[0]
    yield from cut(at, place - at, metre, rest=rest)
    yield from cut(place, end - place, metre, rest=rest)


def _hides(metre: Metre, at: Fraction, end: Fraction, *, rest: bool) -> bool:
    """Return whether a value would hide places that a reader counts by."""
    grade, places = metre.strongest(at, end)
    start, ends = metre.grade(at), max(metre.grade(at), metre.grade(end))
    if rest and metre.dotted and places[0] not in metre.beats:
        return grade < ends or start >= grade
    if rest:
        return grade <= ends
    return grade < ends - 1 or (grade < ends and len(places) > 1)
