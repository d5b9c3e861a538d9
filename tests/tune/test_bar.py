"""Bars and beats in quarters."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as Q

import pytest

from harmonykit.theory.chord import Chord
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarNote, TuneError, bar_length, beat_length


@pytest.mark.parametrize(
    ("meter", "length", "beat"),
    [
        ((4, 4), 4, 1),
        ((3, 4), 3, 1),
        ((6, 8), 3, Q(3, 2)),
        ((2, 2), 4, 2),
        ((5, 8), Q(5, 2), Q(1, 2)),
    ],
)
def test_bars_and_beats_in_quarters(meter, length, beat):
    # Elementary theory: compound metres count dotted beats.
    assert bar_length(meter) == length
    assert beat_length(meter) == beat


def test_chords_last_until_the_next_one_or_the_bar_line():
    chords = [(Chord.parse("C"), Q(1)), (None, Q(2)), (Chord.parse("G7"), Q(5, 2))]
    bar = Bar.of((4, 4), chords)
    assert [change.beats for change in bar.changes] == [1, Q(1, 2), Q(3, 2)]
    assert bar.carried == 1
    assert Bar.of((4, 4), []).carried == 4


def test_a_bar_moves_with_all_that_is_in_it():
    bar = Bar.of((3, 4), [(Chord.parse("Bb7"), Q(0)), (None, Q(2))])
    sung = Bar(4, (3, 4), Q(3), bar.changes, (BarNote(Note.parse("Bb4"), Q(0), Q(3)),), True, 2)
    moved = sung.transpose(Interval.parse("M2"))
    assert [str(change.chord) for change in moved.changes] == ["C7", "None"]
    assert str(moved.melody[0].note) == "C5"
    assert (moved.number, moved.opens, moved.closes) == (4, True, 2)


def test_signs_and_fermatas_are_in_order_and_known():
    bar = Bar.of((4, 4), [(None, Q(0))])
    marked = replace(bar, signs=("fine", "segno"), fermatas=(Q(3), Q(1), Q(3)))
    assert (marked.signs, marked.fermatas) == (("segno", "fine"), (1, 3))
    assert marked.plain().signs == ()
    with pytest.raises(TuneError, match="unknown sign 'forward'"):
        replace(bar, signs=("forward",))
    with pytest.raises(TuneError, match="two jumps"):
        replace(bar, signs=("D.C.", "D.S."))
    with pytest.raises(TuneError, match="a fermata is outside"):
        replace(bar, fermatas=(Q(4),))
