"""A section's melody as text."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.errors import HarmonyError, Place
from harmonykit.tune.bar import Bar, TuneError
from harmonykit.tune.text.melody import read_melody
from harmonykit.tune.text.writer import write_melody

BAR = Bar.of((4, 4), [])


def read(text: str, count: int = 1) -> tuple[Bar, ...]:
    return read_melody(text, (BAR,) * count, lambda index: Place("", 1, index + 1, text))


def notes(bar: Bar) -> list[tuple[str, Q, Q, bool]]:
    return [(str(n.note), n.at, n.beats, n.tied) for n in bar.melody]


def test_notes_rests_and_ties():
    first, second = read("| D5 r Bb4:3/2~ | Bb4:1/2 |", 2)
    assert notes(first) == [("D5", 0, 1, False), ("Bb4", 2, Q(3, 2), True)]
    assert notes(second) == [("Bb4", 0, Q(1, 2), False)]


def test_lines_comments_and_empty_bars():
    text = "| C4 | | # rest\n| r:4 | D4:4 |\n"
    assert [len(bar.melody) for bar in read(text, 4)] == [1, 0, 0, 1]
    assert write_melody(read(text, 4)).count("|") == 5


@pytest.mark.parametrize(
    ("text", "column", "message"),
    [
        ("| C4:3 D4:3/2 |", 8, "too many notes"),
        ("| C:1 |", 3, "no octave"),
        ("| C4:0 |", 3, "not a note"),
        ("| C4:1/0 |", 3, "not a note"),
        ("| C4:x |", 3, "not a note"),
        ("| C4 | D4 |", 1, "has 2 bars, the changes have 1"),
    ],
)
def test_faults_have_their_column(text, column, message):
    with pytest.raises(TuneError, match=message) as caught:
        read(text)
    assert caught.value.place.column == column


def test_what_is_no_note_is_refused_where_it_stands():
    with pytest.raises(HarmonyError) as caught:
        read("| C4 Q4 |")
    assert caught.value.place.column == 6
