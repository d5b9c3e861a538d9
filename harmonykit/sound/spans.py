"""Which bars are played, and how long what stands before them takes: tuning notes and count-in.

Conventions.  Bars are counted from 0 in playing order, time is in quarters.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import ceil

from harmonykit.tune.bar import Meter, bar_length, beat_length
from harmonykit.tune.tune import PlayedBar, Tune

# One bar of count-in if it lasts as long as this, else two.
LEAST_COUNT_IN = 2.5
# How long each open string is left to ring at least: time to hear it and to turn a peg.
TUNING_SECONDS = 2.5

Span = tuple[str, range]


def count_in_bars(meter: Meter, tempo: float) -> int:
    """Return how many bars are counted in.

    Examples
    --------
    >>> count_in_bars((4, 4), 96), count_in_bars((4, 4), 97), count_in_bars((3, 4), 96)
    (1, 2, 2)
    """
    return 1 if float(bar_length(meter)) * 60 / tempo >= LEAST_COUNT_IN else 2


def string_beats(meter: Meter, tempo: float) -> int:
    """Return how many beats each open string rings for.

    Examples
    --------
    >>> string_beats((4, 4), 60), string_beats((4, 4), 112)
    (3, 5)
    """
    return ceil(TUNING_SECONDS * tempo / 60 / float(beat_length(meter)))


def tuning_length(strings: int, meter: Meter, tempo: float) -> Fraction:
    """Return how long the tuning notes take, in quarters: whole bars, so that bar lines stay.

    Examples
    --------
    >>> tuning_length(4, (4, 4), 60)
    Fraction(12, 1)
    """
    beats = strings * string_beats(meter, tempo) * beat_length(meter)
    return ceil(beats / bar_length(meter)) * bar_length(meter)


def section_spans(tune: Tune) -> tuple[Span, ...]:
    """Return the name and the bars of each way through a section, in playing order.

    A new way begins with a new section and where a repeat or a jump goes back.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> section_spans(read_tune(find_data("tunes", "heron_landing")))[2:]
    (('A', range(16, 24)), ('C', range(24, 32)))
    """
    playing = tune.playing
    starts = [0]
    for index, (before, played) in enumerate(pairwise(playing), 1):
        back = played.bar.number < before.bar.number or played.bar is before.bar
        if back or played.section != before.section:
            starts.append(index)
    return tuple(
        (playing[first].section, range(first, last))
        for first, last in pairwise([*starts, len(playing)])
    )


def shifts_of(playing: tuple[PlayedBar, ...]) -> tuple[Fraction, ...]:
    """Return how far into a whole bar each played bar starts, in quarters.

    A pick-up holds a bar's last beats, and so does the second half of a bar that a repeat cuts.
    """
    shifts = []
    for index, played in enumerate(playing):
        missing = bar_length(played.bar.meter) - played.bar.length
        number = played.bar.number
        second = index > 0 and playing[index - 1].bar.number == number
        second = second and playing[index - 1].bar.length <= missing
        shifts.append(missing if number == 0 or second else Fraction(0))
    return tuple(shifts)
