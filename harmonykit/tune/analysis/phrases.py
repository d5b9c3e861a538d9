"""The phrases of a tune, each with its place and its cadence."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from harmonykit.errors import wrong_kind
from harmonykit.tune.analysis.cadences import phrase_cadences
from harmonykit.tune.analysis.function import analyse
from harmonykit.tune.tune import Tune


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase, in playing order.

    Parameters
    ----------
    first_bar, last_bar : int
        The bars with which it begins and ends, in playing order from 0.
    section : str
        The section in which it begins.
    onset, beats : Fraction
        Quarters from the start of the tune, and how long.
    cadence : str
        ``"authentic"``, ``"plagal"``, ``"half"`` or ``"deceptive"``; empty where none is heard.
    why : str
        Why it ends there: ``"the section ends"``, ``"a long note"``, ``"four bars"`` and so on.
    """

    first_bar: int
    last_bar: int
    section: str
    onset: Fraction
    beats: Fraction
    cadence: str = ""
    why: str = ""

    @property
    def end(self) -> Fraction:
        """Where it ends, in quarters from the start of the tune."""
        return self.onset + self.beats


def find_phrases(tune: Tune | str) -> tuple[Phrase, ...]:
    """Return the phrases of a tune, without a gap, as they are played.

    A section, and each round of a repeated part, begins a phrase.  Inside it a phrase has four
    bars, unless rests and long notes of the melody say otherwise, or ``phrases`` is set in the
    tune's file.

    Parameters
    ----------
    tune : Tune or str
        A tune, or its chords between bar lines: ``"| Dm7 | G7 | C6 |"``.

    Returns
    -------
    tuple of Phrase

    Raises
    ------
    HarmonyError
        If what was given is not a tune and cannot be read as one.

    Examples
    --------
    >>> found = hk.find_phrases("| C | F | Dm7 | G7 | C | F | G7 | C |")
    >>> [(phrase.first_bar, phrase.last_bar, phrase.cadence) for phrase in found]
    [(0, 3, 'half'), (4, 7, 'authentic')]
    """
    if isinstance(tune, str):
        tune = Tune.parse(tune)
    if not isinstance(tune, Tune):
        raise wrong_kind(tune, "a tune, or its chords between bar lines", '"| Dm7 | G7 | C6 |"')
    return _found(tune)


@lru_cache(maxsize=32)
def _found(tune: Tune) -> tuple[Phrase, ...]:
    told = [(each.numeral, each.function, each.goal) for each in analyse(tune).chords]
    playing = tune.playing
    found = []
    for span, cadence in phrase_cadences(tune, told):
        first, last = playing[span.first], playing[span.last]
        beats = last.onset + last.bar.length - first.onset
        kind = "" if cadence is None else cadence[0]
        place = (span.first, span.last, first.section, first.onset, beats)
        found.append(Phrase(*place, cadence=kind, why=span.why))
    return tuple(found)


def said_phrases(tune: Tune) -> str:
    """Return a tune's phrases in words, by the numbers that bars have as they are played.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> print(said_phrases(read_tune(find_data("tunes", "slack_water_waltz"))))
    1–4, 5–8 half, 9–12 half, 13–16 authentic
    """
    numbers = tune.numbers
    said = []
    for phrase in find_phrases(tune):
        inside = numbers[phrase.first_bar : phrase.last_bar + 1]
        counted = [number for number, first in inside if first] or [inside[0][0]]
        bars = f"{counted[0]}–{counted[-1]}" if len(counted) > 1 else f"{counted[0]}"
        said.append(f"{bars} {phrase.cadence}".strip())
    return ", ".join(said)
