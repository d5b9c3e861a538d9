"""What players leave out, and what is asked of bass and top."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import chords

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.tones import (
    above_root,
    asked_pitch,
    mask,
    outer_pitches_fit,
    usual_omissions,
)
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import Note

# Common practice, no source: three strings keep 3 (or sus), 7 or 6, then a named alteration; a
# chord with a seventh or ninth may lose a plain 5 on any number of strings, and a dominant its
# root on four; a 13 has no 11 beside a major third and may lose its 9; never b5 or #5.
OMITTED = [
    ("C", 3, ()),
    ("Csus4", 3, ()),
    ("C7", 3, (7, 0)),
    ("C6", 3, (7, 0)),
    ("C7sus4", 3, (7, 0)),
    ("Cm7b5", 3, (0,)),
    ("C7b5", 3, (0,)),
    ("C9", 3, (7, 0)),
    ("C7b9", 3, (7, 0)),
    ("C13", 3, (5, 7, 0, 2)),
    ("C7#5#9", 3, (0, 3)),
    ("C", 4, ()),
    ("C7", 4, (7, 0)),
    ("Cmaj7", 4, (7,)),
    ("Cm7", 4, (7,)),
    ("C7sus4", 4, (7,)),
    ("C6", 4, ()),
    ("Cm6", 4, ()),
    ("Cadd9", 4, ()),
    ("C6", 6, (7,)),
    ("Cm7b5", 4, ()),
    ("C7#5", 4, ()),
    ("C7b5", 4, ()),
    ("Cm13", 6, (7, 5, 2)),
    ("C11", 6, (7, 2, 4)),
    ("Cdim7", 4, ()),
    ("C9", 4, (7, 0)),
    ("C7b9", 4, (7, 0)),
    ("C6/9", 4, (7, 0)),
    ("Cmaj7#11", 4, (7, 0)),
    ("C13", 4, (5, 7, 0, 2)),
    ("C7#5#9", 4, (0,)),
    ("C", 6, ()),
    ("C7", 6, (7,)),
    ("Cdim7", 6, ()),
    ("Cm7b5", 6, ()),
    ("C7#5", 6, ()),
    ("C9", 6, (7,)),
    ("C9", 5, (7,)),
    ("C13", 6, (5, 7, 2)),
    ("C13", 5, (5, 7, 2)),
]


@pytest.mark.parametrize(("symbol", "strings", "omitted"), OMITTED)
def test_omissions_are_the_customary_ones(
    symbol: str, strings: int, omitted: tuple[int, ...]
) -> None:
    assert usual_omissions(Chord.parse(symbol), strings) == omitted


@given(chords, st.integers(3, 10))
def test_what_makes_the_chord_is_never_left_out(chord: Chord, strings: int) -> None:
    omitted = usual_omissions(chord, strings)
    assert set(omitted) <= set(chord.semitones)
    assert len(set(omitted)) == len(omitted)
    third_seventh_or_altered_fifth = {
        degree.pitch_class
        for degree in chord.degrees
        if degree.number in (2, 3, 4, 6, 7) or (degree.number == 5 and degree.alter)
    }
    stacked = {4} if {Degree(9), Degree(11)} & set(chord.degrees) else set()
    alt = {6, 8} if chord.quality == "alt" else set()
    assert not (third_seventh_or_altered_fifth - stacked - alt) & set(omitted)


@pytest.mark.parametrize("tone", ["B", "5", 7, 19, Degree.parse("5"), Note.parse("B")])
def test_a_tone_to_leave_out_may_be_named_in_four_ways(tone: str | int | Degree | Note) -> None:
    assert above_root(Chord.parse("E7"), tone) == 7


@pytest.mark.parametrize("tone", ["C", "b5", 6, "9"])
def test_what_is_no_tone_of_the_chord_cannot_be_left_out(tone: str | int) -> None:
    with pytest.raises(HarmonyError, match="neither left out nor doubled") as caught:
        above_root(Chord.parse("E7"), tone)
    assert '"5" (B)' in caught.value.mend


def test_masks_count_from_the_root() -> None:
    assert mask((0, 4, 7), 7) == 1 << 7 | 1 << 11 | 1 << 2


@pytest.mark.parametrize(
    ("tone", "pitch"),
    [(None, None), (4, 4), (64, 64), ("E", 4), ("E4", 64), ("B#3", 60), (Note.parse("Bb"), 10)],
)
def test_a_pitch_may_be_asked_for_with_or_without_its_octave(
    tone: str | int | Note | None, pitch: int | None
) -> None:
    assert asked_pitch(tone) == pitch


@pytest.mark.parametrize(
    ("low", "high", "fits"),
    [(0, None, True), (60, None, True), (48, None, False), (4, None, False), (None, 72, True)]
    + [(None, 0, True), (None, 60, False), (0, 9, False)],
)
def test_outer_pitches_are_heard_not_seen(low: int | None, high: int | None, fits: bool) -> None:
    # 5-0-0-3 on g C E A: the lowest pitch lies on the second string.
    assert outer_pitches_fit((72, 60, 64, 72), low, high, foreign=False) is fits


def test_a_foreign_bass_sounds_in_the_bass_alone() -> None:
    assert outer_pitches_fit((62, 62, 64, 67), 2, None, foreign=True)
    assert not outer_pitches_fit((62, 64, 67, 74), 2, None, foreign=True)
