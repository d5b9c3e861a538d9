"""Repeats and endings unfolded, by hand and against music21's own expansion."""

from __future__ import annotations

import pytest
from unfolded import bars, expanded, played

from harmonykit.theory.key import Key
from harmonykit.tune.tune import Section, Tune


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("| C | D | E |", "C D E"),
        ("|: C | D :| E |", "C D C D E"),
        ("| C | D :| E |", "C D C D E"),
        ("| C |: D :| E |", "C D D E"),
        ("| C :| D :| E |", "C C D D E"),
        ("|: C :|: D :|x3 E |", "C C D D D E"),
        ("|: C | [1 D :| [2 E | F |", "C D C E F"),
        ("|: C | [1 D | E :| [2 F | G || A |", "C D E C F G A"),
        ("|: C | [1,2 D :| [3 E || F |", "C D C D C E F"),
        ("|: C | [1 D :| [2 E :| [3 F |", "C D C E C F"),
        ("|: C | [1 D :| [2 E :| F |", "C D C E F"),
        ("|: C | [1 D :| [2 E |: F | [1 G :| [2 A |", "C D C E F G F A"),
        ("| C | [1 D :| [2 E || F :| G |", "C D C E F F G"),
    ],
)
def test_repeats_by_hand(text, expected):
    # Worked out by hand by the rules of notation: a repeat goes back to its opening sign, or to
    # where the last one ended; an ending is played in its own passes only.
    assert played(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "|: C | D :| E |",
        "| C | D :| E |",
        "| C |: D | E :|x3 F |",
        "|: C | [1 D :| [2 E || F |",
        "|: C | D :| E |: F | [1 G :| [2 A |",
    ],
)
def test_repeats_as_music21_expands_them(text):
    assert played(text) == expanded(text)


def test_the_onsets_run_through_repeats():
    tune = Tune("T", Key.parse("C"), (4, 4), 120, (Section("A", bars("|: C | {2 quarters} G :|")),))
    assert [(c.chord.symbol, c.onset, c.beats) for c in tune.changes] == [
        ("C", 0, 4),
        ("G", 4, 2),
        ("C", 6, 4),
        ("G", 10, 2),
    ]


def test_a_chord_carries_on_into_the_pickup_when_it_comes_round():
    text = "| {1 quarter} - | C | {3 quarters} G :|"
    tune = Tune("T", Key.parse("C"), (4, 4), 120, (Section("A", bars(text)),))
    found = [(c.chord and c.chord.symbol, c.onset, c.beats) for c in tune.changes]
    assert found == [(None, 0, 1), ("C", 1, 4), ("G", 5, 4), ("C", 9, 4), ("G", 13, 3)]


def test_a_silence_from_the_start_is_one():
    tune = Tune("T", Key.parse("C"), (4, 4), 120, (Section("A", bars("| - | / / N.C. / | C |")),))
    assert [(c.onset, c.beats) for c in tune.changes] == [(0, 8), (8, 4)]


def test_a_change_knows_whether_a_fermata_stands_over_it():
    found = bars("| C G7 {fermata} | - | F | - {fermata@3} | C |")
    tune = Tune("T", Key.parse("C"), (4, 4), 120, (Section("A", found),))
    assert [(c.chord.symbol, c.fermata) for c in tune.changes] == [
        ("C", False),
        ("G7", True),
        ("F", True),
        ("C", False),
    ]
