"""A tune as a lead sheet: its bars cut into tones, by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as Q

from harmonykit.score.lead import tones_of
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarNote


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


def test_a_tie_holds_the_same_note_alone():
    sung = BarNote(Note.parse("C5"), Q(0), Q(4), tied=True)
    bar = replace(Bar.of((4, 4), []), melody=(sung,))
    assert cut(bar, Note.parse("C5")) == [("C5", 0, 4, True, True)]
    assert cut(bar, Note.parse("D5")) == [("C5", 0, 4, False, True)]


def test_a_fermata_stands_over_what_starts_at_it():
    sung = BarNote(Note.parse("C5"), Q(0), Q(4))
    bar = replace(Bar.of((4, 4), []), melody=(sung,), fermatas=(Q(3),))
    assert [(tone.at, tone.held) for tone in tones_of(bar)] == [(0, False), (3, True)]
