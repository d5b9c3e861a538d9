"""Cadences at the ends of phrases.

What a phrase is, ``phrase_ends`` says.  What its last two chords are tells the cadence; a tonic
that a dominant brings in the last two bars is the arrival even where a turnaround leads on (common
practice of jazz, no source).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harmonykit.tune.analysis.phrase_ends import Stretch, phrase_spans
from harmonykit.tune.tune import Tune

AUTHENTIC, PLAGAL, HALF, DECEPTIVE = "authentic", "plagal", "half", "deceptive"
# Numeral, function and goal of a chord.
Told = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Cadence:
    """A cadence: its kind, the index of the chord that arrives, and that chord's written bar.

    Parameters
    ----------
    kind : str
        ``"authentic"``, ``"plagal"``, ``"half"`` or ``"deceptive"``.
    index : int
        Of the chord that arrives, among the changes.
    bar : int
        The written bar of that chord.
    """

    kind: str
    index: int
    bar: int


def find_cadences(tune: Tune, told: Sequence[Told]) -> tuple[Cadence, ...]:
    """Return the cadences of a tune whose chords are analysed, in playing order."""
    changes = tune.changes
    found = (each for _, each in phrase_cadences(tune, told) if each is not None)
    return tuple(Cadence(kind, index, changes[index].bar) for kind, index in found)


def phrase_cadences(
    tune: Tune, told: Sequence[Told]
) -> Iterator[tuple[Stretch, tuple[str, int] | None]]:
    """Yield each phrase, and the cadence in its last two bars: kind and change."""
    playing = tune.playing
    onsets = [change.onset for change in tune.changes]
    for span in phrase_spans(tune):
        last = playing[span.last]
        start = playing[max(span.first, span.last - 1)].onset
        end = last.onset + last.bar.length
        inside = range(bisect_left(onsets, start), bisect_left(onsets, end))
        yield span, next(_cadence(told, inside), None)


def _cadence(told: Sequence[Told], inside: Sequence[int]) -> Iterator[tuple[str, int]]:
    """Yield the cadence of a phrase's last two bars, if there is one."""
    for index in reversed(inside):
        if index and _is_tonic(told[index]) and _is_dominant(told[index - 1]):
            yield AUTHENTIC, index
            return
    if not inside or not inside[-1]:
        return
    last = inside[-1]
    before, here = told[last - 1], told[last]
    if _is_tonic(here) and before[0].lower().startswith(("iv", "iiø")) and before[1] != "dominant":
        yield PLAGAL, last
    elif _is_dominant(here):
        yield HALF, last
    elif here[0].lower().startswith(("vi", "bvi")) and here[1] != "dominant":
        if _is_dominant(before):
            yield DECEPTIVE, last


def _is_tonic(one: Told) -> bool:
    return one[1] == "tonic" and not one[0].lower().startswith("vi")


def _is_dominant(one: Told) -> bool:
    return one[1] == "dominant" and not one[2]
