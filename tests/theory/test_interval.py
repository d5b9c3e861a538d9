"""Intervals: against music21, and the group that they make."""

from __future__ import annotations

import pytest
from hypothesis import given
from strategies import NAMES, intervals, pitches
from theirs import music21_name

from harmonykit.errors import HarmonyError
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note


def test_transposition_is_that_of_music21() -> None:
    from music21.interval import Interval as Theirs
    from music21.pitch import Pitch

    for text in ("m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7", "M9"):
        ours, theirs = Interval.parse(text), Theirs(text)
        assert ours.semitones == theirs.semitones
        for note in NAMES:
            if abs(note.accidental) < 2:
                moved = theirs.transposePitch(Pitch(music21_name(note) + "4"))
                found = note.at(4).transpose(ours)
                assert (music21_name(found), found.octave) == (moved.name, moved.octave)


class TestTransposition:
    """Transposing by intervals is a group at work: nothing, there and back, one after another."""

    @given(pitches)
    def test_a_unison_changes_nothing(self, note: Note) -> None:
        assert note.transpose(Interval.parse("P1")) == note

    @given(pitches, intervals)
    def test_there_and_back(self, note: Note, interval: Interval) -> None:
        assert note.transpose(interval).transpose(-interval) == note

    @given(pitches, intervals, intervals)
    def test_one_after_another_is_their_sum(
        self, note: Note, first: Interval, second: Interval
    ) -> None:
        both = Interval(first.steps + second.steps, first.semitones + second.semitones)
        assert note.transpose(first).transpose(second) == note.transpose(both)

    @given(pitches, intervals)
    def test_the_pitch_moves_by_the_semitones(self, note: Note, interval: Interval) -> None:
        moved = note.transpose(interval)
        assert moved.midi == note.midi + interval.semitones
        assert note.interval_to(moved) == interval

    @given(intervals)
    def test_a_name_reads_back(self, interval: Interval) -> None:
        assert Interval.parse(interval.name) == interval


@pytest.mark.parametrize("text", ["P3", "M5", "m4", "P0", "3", "M", "", "Mm3", "AAAA4", "M٣"])
def test_what_is_no_interval_is_said(text: str) -> None:
    with pytest.raises(HarmonyError, match="is not an interval"):
        Interval.parse(text)


def test_descending_intervals() -> None:
    # Common practice: a minor second down is one letter and one semitone down.
    down = Interval.parse("-m2")
    assert (down.steps, down.semitones, str(down)) == (-1, -1, "-m2")
    assert Note.parse("C4").transpose(down) == Note.parse("B3")
    assert Note.parse("E4").interval_to(Note.parse("C4")).name == "-M3"
    assert Note.parse("E").interval_to(Note.parse("C")).name == "m6"
    assert Note.parse("B").interval_to(Note.parse("Cb")).name == "d2"
    assert Interval.parse("d2").semitones == 0
