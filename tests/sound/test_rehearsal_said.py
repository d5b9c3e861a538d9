"""A line of practice as it is said to a class: what was typed is told, in words."""

from __future__ import annotations

import re

import pytest

from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.sound.rehearsal_said import said_rehearsal

SAID = {
    "whole tune": "the whole tune",
    "bar 4, times 1": "bar 4, once",
    "hard change, tempi 60 80 100, times 2":
        "the hard change, twice at 60, 80 and 100 per cent of the tempo",
    "hard change 2 4 bars": "the second hard change in four bars",
    "bars 9-12, call and answer": "bars 9 to 12, call and answer",
    "tempo 70, without bass and strum": "the whole tune, at 70 per cent of the tempo, "
        "without the strum and bass",
    "with melody, click 2+4": "the whole tune, with the melody, with the click on beats 2 and 4",
    "disappearing, names once": "the whole tune, with more and more bars left to you, "
        "the next chord told beforehand the first time",
    "leading tones, count-in 2": "the leading tones, sung, after two bars of count-in",
    "intro 1, times 3": "the whole tune, three times, after an intro of one bar",
    "intro": "the whole tune, after an intro",
}  # fmt: skip


@pytest.mark.parametrize("line", SAID)
def test_it_is_said_in_words(line: str) -> None:
    """By hand, from what each part does as the guide to a line of practice has it."""
    said = said_rehearsal(Rehearsal.parse(line))
    assert said == SAID[line]
    # No number of a line is lost but those that are words.
    assert set(re.findall(r"\d\d+", line)) <= set(re.findall(r"\d\d+", said))
