"""Bars cut into what is written, by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as Q

from harmonykit.score.pieces import pieces_of
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarNote


def cut(bar: Bar, held: Note | None = None) -> list[tuple]:
    return [(str(p.note or "r"), p.at, p.beats, p.tie_in, p.tie_out) for p in pieces_of(bar, held)]


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
