"""Cadences at the ends of phrases.

A phrase is four bars, counted in each section from its first whole bar, or what is left of the
section.  What its last two chords are tells the cadence; a tonic that a dominant brings in the last
two bars is the arrival even where a turnaround leads on (common practice of jazz, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.tune.tune import Tune

PHRASE_BARS = 4
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
    onsets = [change.onset for change in changes]
    found = []
    for start, end in _phrase_ends(tune):
        inside = [n for n, onset in enumerate(onsets) if start <= onset < end]
        for kind, index in _cadence(told, inside):
            found.append(Cadence(kind, index, changes[index].bar))
    return tuple(found)


def _phrase_ends(tune: Tune) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield for each phrase where its last two bars start, and where it ends."""
    playing = tune.playing
    count = 0
    for index, played in enumerate(playing):
        count += 1 if played.bar.number or index else 0
        after = playing[index + 1] if index + 1 < len(playing) else None
        closes = after is None or after.section != played.section or _starts_over(tune, index)
        if closes or count == PHRASE_BARS:
            if count:
                start = playing[index - 1].onset if index and count > 1 else played.onset
                yield start, played.onset + played.bar.length
            count = 0


def _starts_over(tune: Tune, index: int) -> bool:
    """Return whether the next played bar is the first of its section again."""
    after = tune.playing[index + 1]
    first = next(s for s in tune.sections if s.name == after.section).bars[0]
    return after.bar is first


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
