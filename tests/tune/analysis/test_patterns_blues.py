"""The blues is known by its bars: the published forms, and songs of twelve bars that are none."""

from __future__ import annotations

import pytest

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.patterns import blues_mode, blues_of
from harmonykit.tune.tune import Tune


@pytest.mark.parametrize(
    ("bars", "mode"),
    [
        # Wikipedia, "Twelve-bar blues": the basic form in C, in triads' roots as sevenths.
        ("C7 C7 C7 C7 F7 F7 C7 C7 G7 G7 C7 C7", "major"),
        ("C7 F7 C7 C7 F7 F7 C7 A7 Dm7 G7 C7 G7", "major"),
        ("Cm7 Cm7 Cm7 Cm7 Fm7 Fm7 Cm7 Cm7 Ab7 G7 Cm7 G7", "minor"),
        ("C C7 C C7 F7 F7 C C G7 F7 C G7", "major"),
        # Twelve bars of another form; sixteen; another key.
        ("C C C C F F C C G G C C", ""),
        ("C7 C7 C7 C7 Dm7 G7 C7 C7 F7 G7 C7 C7", ""),
        ("C7 C7 C7 C7 F7 F7 C7 C7 G7 G7 C7 C7 C7 C7 C7 C7", ""),
        ("G7 G7 G7 G7 C7 C7 G7 G7 D7 D7 G7 G7", ""),
        ("", ""),
    ],
)
def test_a_blues_is_known_by_its_first_fifth_and_seventh_bar(bars: str, mode: str) -> None:
    assert blues_mode([Chord.parse(each) for each in bars.split()], Key.parse("C")) == mode


def test_a_tune_is_asked_as_it_is_played() -> None:
    twelve = " | ".join("C7 C7 C7 C7 F7 F7 C7 C7 G7 F7 C7 G7".split())
    assert blues_of(Tune.parse(f"|: {twelve} :|", key="C")) == "major"
    assert blues_of(Tune.parse("| C7 | F7 | C7 |", key="C")) == ""
