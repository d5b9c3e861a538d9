"""How music is printed: lengths as note values, cut where a metre cuts them, beams, tuplets.

Conventions (common practice of engravers, no source).  Places are quarters from the start of a
whole measure.  Each has a grade: 0 is the start, 1 the middle where the beats are even in number;
then come the beats and their halves, each a grade weaker.  The parts of a dotted beat are two
grades weaker than it.  A note stands over one place that is a grade stronger than its weaker end,
and over any that are not stronger.  A rest stands only over weaker ones, but for the first two
parts of a dotted beat.  What divides a beat by three, five or more is cut only where no single
value says it.  Where one value is not enough, several are tied.

Beams join what lies in one beat and is not parted by a rest.  Beams and brackets are named as
MusicXML 4.0 names them (``beam-value``, ``tuplet``).
"""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import groupby

from harmonykit.score.score import Measure, Staff, Tone
from harmonykit.tune.bar import Meter, bar_length
from harmonykit.values import dataclass, replace

TYPES = {
    Fraction(8): "breve", Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter",
    Fraction(1, 2): "eighth", Fraction(1, 4): "16th", Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th", Fraction(1, 32): "128th", Fraction(1, 64): "256th",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Value:
    """A written value: its length in quarters, its type, dots, and how many sound in whose time.

    ``actual`` notes sound in the time of ``normal``; 1 and 1 where there is no tuplet.
    """

    beats: Fraction
    type: str
    dots: int
    actual: int = 1
    normal: int = 1


def values_of(beats: Fraction) -> Iterator[Value]:
    """Yield the values that make up a length, the longest first.

    What is finer than a 256th, of whatever tuplet, has the nearest type.

    Examples
    --------
    >>> [(v.type, v.dots) for v in values_of(Fraction(5, 2))]
    [('half', 0), ('eighth', 0)]
    >>> [(v.type, v.actual, v.normal) for v in values_of(Fraction(2, 3))]
    [('quarter', 3, 2)]
    """
    actual = beats.denominator
    while actual % 2 == 0:
        actual //= 2
    normal = 1
    while normal * 2 < actual:
        normal *= 2
    scale = Fraction(actual, normal)
    left = beats * scale
    while left > 0:
        plain, kind, dots = next(
            ((p, k, d) for p, k, d in _PLAIN if p <= left), (left, TYPES[Fraction(1, 64)], 0)
        )
        yield Value(plain / scale, kind, dots, actual, normal)
        left -= plain


_PLAIN = sorted(
    (
        (base * (2 - Fraction(1, 2**dots)), kind, dots)
        for base, kind in TYPES.items()
        for dots in (0, 1, 2)
    ),
    reverse=True,
)


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


_BEAMS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6}


@dataclass(frozen=True, slots=True)
class Written:
    """One printed note, chord or rest.

    Parameters
    ----------
    tone : Tone
        What it is, or is a part of.
    at, beats : Fraction
        In quarters from the start of the measure.
    value : Value or None
        ``None`` for a rest that stands for the whole measure.
    tied_in, tied_out : bool
    beams : tuple of str
        From the outermost: ``begin``, ``continue``, ``end``, ``forward hook``, ``backward hook``.
    tuplet : tuple of str
        ``start`` and ``stop`` of a bracket.
    """

    tone: Tone
    at: Fraction
    beats: Fraction
    value: Value | None
    tied_in: bool = False
    tied_out: bool = False
    beams: tuple[str, ...] = ()
    tuplet: tuple[str, ...] = ()

    @property
    def is_first(self) -> bool:
        """Whether its tone starts with it."""
        return self.at == self.tone.at

    def ties(self, index: int) -> tuple[str, ...]:
        """Return the ends of ties at one of its notes, counted from the lowest."""
        top = index + 1 == len(self.tone.notes)
        stop = self.tied_in or (top and self.tone.top_in and self.is_first)
        start = self.tied_out or (
            top and self.tone.top_out and self.at + self.beats == self.tone.end
        )
        return ("stop",) * stop + ("start",) * start


def write_staff(measure: Measure, staff: Staff) -> tuple[Written, ...]:
    """Return what is printed of a staff in a measure."""
    whole = bar_length(measure.meter)
    if len(staff.tones) == 1 and not staff.tones[0].notes and staff.tones[0].beats == whole:
        return (Written(staff.tones[0], Fraction(0), whole, None),)
    metre = metre_of(measure.meter)
    # A measure that is not counted ends where a whole one does.
    late = Fraction(0) if measure.is_counted else max(whole - measure.length, Fraction(0))
    found = [one for tone in staff.tones for one in _values(tone, measure.meter, late)]
    return tuple(_beamed(_bracketed(found), metre, late))


@lru_cache(maxsize=4096)
def _values_at(at: Fraction, beats: Fraction, meter: Meter, *, rest: bool) -> tuple[Value, ...]:
    """Return the values as which a note or a rest is written; many bars have the same."""
    lengths = cut(at, beats, metre_of(meter), rest=rest)
    return tuple(value for length in lengths for value in values_of(length))


def _values(tone: Tone, meter: Meter, late: Fraction) -> Iterator[Written]:
    now = tone.at
    for value in _values_at(tone.at + late, tone.beats, meter, rest=not tone.notes):
        after = now + value.beats
        stop = bool(tone.notes) and (tone.tied_in or now > tone.at)
        start = bool(tone.notes) and (tone.tied_out or after < tone.end)
        yield Written(tone, now, value.beats, value, stop, start)
        now = after


def _bracketed(found: Sequence[Written]) -> Iterator[Written]:
    """Yield what is printed with brackets: each ends where its values fill plain ones."""
    for (actual, _), run in groupby(found, key=_ratio):
        joined = list(run)
        yield from _brackets(joined) if actual > 1 else joined


def _ratio(one: Written) -> tuple[int, int]:
    return (one.value.actual, one.value.normal) if one.value else (1, 1)


def _brackets(run: list[Written]) -> Iterator[Written]:
    filled, starts = Fraction(0), True
    for place, one in enumerate(run):
        filled += one.beats
        through = filled.denominator & (filled.denominator - 1) == 0 or place == len(run) - 1
        marks = ("start",) * starts + ("stop",) * through
        yield replace(one, tuplet=marks)
        starts, filled = through, Fraction(0) if through else filled


def _beamed(found: Iterable[Written], metre: Metre, late: Fraction) -> Iterator[Written]:
    """Yield what is printed with the beams of each beat."""

    def group(one: Written) -> tuple[bool, int]:
        return bool(_flags(one)), metre.beat_at(one.at + late)

    for (flagged, _), run in groupby(found, key=group):
        joined = list(run)
        yield from _joined(joined, metre.part) if flagged and len(joined) > 1 else joined


def _flags(one: Written) -> int:
    return _BEAMS.get(one.value.type, 0) if one.value and one.tone.notes else 0


def _joined(run: list[Written], part: Fraction) -> Iterator[Written]:
    flags = [0, *map(_flags, run), 0]
    for place, one in enumerate(run, 1):
        before, here, after = flags[place - 1 : place + 2]
        beams = []
        for level in range(1, here + 1):
            if before >= level:
                beams.append("continue" if after >= level else "end")
            elif after >= level:
                beams.append("begin")
            else:
                ahead = place == 1 or (place < len(run) and one.at % part == 0)
                beams.append("forward hook" if ahead else "backward hook")
        yield replace(one, beams=tuple(beams))
