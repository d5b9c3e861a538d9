"""Tones as they are printed: values tied together, beams, brackets of tuplets.

Conventions.  Beams join what lies in one beat and is not parted by a rest (common practice of
engravers, no source).  Beams and brackets are named as MusicXML 4.0 names them (``beam-value``,
``tuplet``).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from harmonykit.score.metre import Metre, cut, metre_of
from harmonykit.score.score import Measure, Staff, Tone
from harmonykit.score.values import Value, values_of
from harmonykit.tune.bar import bar_length

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


def write_staff(measure: Measure, staff: Staff) -> tuple[Written, ...]:
    """Return what is printed of a staff in a measure."""
    whole = bar_length(measure.meter)
    if len(staff.tones) == 1 and not staff.tones[0].notes and staff.tones[0].beats == whole:
        return (Written(staff.tones[0], Fraction(0), whole, None),)
    metre = metre_of(measure.meter)
    # A measure that is not counted ends where a whole one does.
    late = Fraction(0) if measure.is_counted else max(whole - measure.length, Fraction(0))
    found = [one for tone in staff.tones for one in _values(tone, metre, late)]
    return tuple(_beamed(_bracketed(found), metre, late))


def _values(tone: Tone, metre: Metre, late: Fraction) -> Iterator[Written]:
    now = tone.at
    lengths = cut(tone.at + late, tone.beats, metre, rest=not tone.notes)
    for value in (value for length in lengths for value in values_of(length)):
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
