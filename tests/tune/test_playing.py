"""Repeats and endings unfolded, by hand and against music21's own expansion."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.errors import Place
from harmonykit.theory.key import Key
from harmonykit.tune.bar import Bar, TuneError
from harmonykit.tune.changes import read_changes
from harmonykit.tune.tune import Section, Tune
from harmonykit.tune.unfold import unfold


def bars(text: str) -> tuple[Bar, ...]:
    return read_changes(text, (4, 4), lambda index: Place())[0]


def played(text: str) -> str:
    return " ".join(c.chord.symbol for bar in unfold(bars(text)) for c in bar.changes)


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
    from music21 import bar as m21_bar
    from music21 import note, spanner, stream

    part = stream.Part()
    for written in bars(text):
        measure = stream.Measure()
        measure.append(note.Note(written.changes[0].chord.symbol, quarterLength=4))
        if written.opens:
            measure.leftBarline = m21_bar.Repeat(direction="start")
        if written.closes:
            measure.rightBarline = m21_bar.Repeat(direction="end", times=written.closes)
        part.append(measure)
        if written.ending:
            part.insert(0, spanner.RepeatBracket(measure, number=written.ending[0]))
    expected = " ".join(n.name for n in part.expandRepeats().recurse().notes)
    assert played(text) == expected


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


def test_endings_that_nobody_reaches_are_no_tune():
    only = Bar(0, (4, 4), Q(4), ending=(2,))
    with pytest.raises(TuneError, match="never reached"):
        _ = Tune("T", Key.parse("C"), (4, 4), 120, (Section("A", (only,)),)).playing


def test_a_change_knows_whether_a_fermata_stands_over_it():
    found = bars("| C G7 {fermata} | - | F | - {fermata@3} | C |")
    tune = Tune("T", Key.parse("C"), (4, 4), 120, (Section("A", found),))
    assert [(c.chord.symbol, c.fermata) for c in tune.changes] == [
        ("C", False),
        ("G7", True),
        ("F", True),
        ("C", False),
    ]
