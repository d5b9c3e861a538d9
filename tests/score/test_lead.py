"""A tune as a lead sheet: its bars cut into tones, by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as Q

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.score.lead import lead_score, tones_of
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarNote
from harmonykit.tune.tune import Tune

LETTERS = "CDEFGAB"


def cut(bar: Bar, held: Note | None = None) -> list[tuple]:
    return [
        (str(t.notes[0]) if t.notes else "r", t.at, t.beats, t.tied_in, t.tied_out)
        for t in tones_of(bar, held)
    ]


def test_rests_are_cut_at_chords_and_notes_at_fermatas():
    sung = BarNote(Note.parse("C5"), Q(2), Q(2))
    bar = replace(Bar.of((4, 4), [(None, Q(0)), (None, Q(1))]), melody=(sung,), fermatas=(Q(3),))
    assert [piece[:3] for piece in cut(bar)] == [
        ("r", 0, 1), ("r", 1, 1), ("C5", 2, 1), ("C5", 3, 1),
    ]  # fmt: skip
    assert [piece[3:] for piece in cut(bar)[2:]] == [(False, True), (True, False)]


@given(st.sets(st.integers(0, 15), max_size=6), st.sets(st.integers(1, 15)))
def test_tones_fill_a_bar_one_after_the_other(starts: set[int], changes: set[int]) -> None:
    """Sixteenths of a bar: each note lasts a sixteenth, and rests fill what is left."""
    melody = tuple(BarNote(Note.parse("C5"), Q(at, 4), Q(1, 4)) for at in sorted(starts))
    bar = Bar.of((4, 4), [(None, Q(at, 4)) for at in sorted({0, *changes})])
    tones = list(tones_of(replace(bar, melody=melody)))
    assert [tone.at for tone in tones] == [Q(0), *(tone.end for tone in tones[:-1])]
    assert tones[-1].end == 4
    sung = {tone.at * 4 for tone in tones if tone.notes}
    rests = {tone.at * 4 for tone in tones if not tone.notes}
    assert sung == starts and changes <= sung | rests


def test_a_tie_holds_the_same_note_alone():
    sung = BarNote(Note.parse("C5"), Q(0), Q(4), tied=True)
    bar = replace(Bar.of((4, 4), []), melody=(sung,))
    assert cut(bar, Note.parse("C5")) == [("C5", 0, 4, True, True)]
    assert cut(bar, Note.parse("D5")) == [("C5", 0, 4, False, True)]


def test_a_fermata_stands_over_what_starts_at_it():
    sung = BarNote(Note.parse("C5"), Q(0), Q(4))
    bar = replace(Bar.of((4, 4), []), melody=(sung,), fermatas=(Q(3),))
    assert [(tone.at, tone.held) for tone in tones_of(bar)] == [(0, False), (3, True)]


TEXT = """format = 1
title = "Sluice Song"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| C (Am) | F |"
melody = "| C5:4 | F5:4 |"
[[sections]]
name = "B"
changes = "| G | C |"
melody = "| G5:4 | C5:4 |"
"""


def test_a_section_is_named_in_its_first_measure_alone():
    score = lead_score(Tune.parse(TEXT))
    assert [measure.label for measure in score.measures] == ["A", "", "B", ""]
    assert not any(measure.completes for measure in score.measures)
    assert [part.transposition for part in score.parts] == [None]


def test_a_chord_in_brackets_is_an_alternate():
    score = lead_score(Tune.parse(TEXT))
    found = [(str(s.chord), s.alternate) for s in score.measures[0].staves[0].symbols]
    assert found == [("C", False), ("Am", True)]


def test_the_bass_clef_has_the_melody_an_octave_lower():
    score = lead_score(Tune.parse(TEXT), "bass clef")
    notes = [str(m.staves[0].tones[0].notes[0]) for m in score.measures]
    assert notes == ["C4", "F4", "G4", "C4"]


@pytest.mark.parametrize("key", "C G D A E B F# C# F Bb Eb Ab Db Gb Cb".split())
@pytest.mark.parametrize("part", ["Bb", "Eb"])
def test_a_player_program_is_led_back_to_the_names_of_the_tune(key: str, part: str) -> None:
    """MusicXML 4.0, transpose: steps of the staff and semitones from written to sounding."""
    tune = replace(Tune.parse(TEXT, "s.toml"), key=Key.parse(key))
    (listed,) = lead_score(tune, part).parts
    way, tonic = listed.transposition, listed.key.tonic
    assert way is not None and listed.key.tonic.name in "C G D A E B F# F Bb Eb Ab Db Gb".split()
    assert LETTERS[(LETTERS.index(tonic.name[0]) + way.diatonic) % 7] == key[0]
    assert (tonic.pitch_class + way.chromatic) % 12 == tune.key.tonic.pitch_class
    assert way.chromatic == {"Bb": -2, "Eb": -9}[part]
