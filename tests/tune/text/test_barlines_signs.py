"""Signs in the text form: every spelling of every sign, and where fermatas stand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as Q

import pytest

from harmonykit.tune.bar import SIGNS, Bar
from harmonykit.tune.text.barlines import (
    Word,
    alternates_of,
    beat_of,
    fermata_beat,
    held_by,
    is_fermata,
    sign_of,
    write_signs,
)
from harmonykit.tune.tune import Tune


@pytest.mark.parametrize("sign", SIGNS)
def test_signs_are_read_with_and_without_dots_blanks_and_capitals(sign):
    for typed in (sign, sign.upper(), sign.replace(".", ""), f" {sign} ", sign.replace(" ", "  ")):
        assert sign_of(typed) == sign


@pytest.mark.parametrize("text", ["", "3/4", "1 quarter", "go on", "D.X."])
def test_what_is_no_sign(text):
    assert sign_of(text) == ""


def test_fermatas_and_their_beats():
    assert [is_fermata(text) for text in ("fermata", " Fermata@3 ", "fermatas")] == [
        True, True, False,
    ]  # fmt: skip
    assert [fermata_beat(text) for text in ("fermata", "fermata@2.5")] == [None, "2.5"]


@pytest.mark.parametrize(
    ("text", "beat"), [("3", 3), ("3.5", Q(7, 2)), ("7/3", Q(7, 3)), ("3/0", None), ("x", None)]
)
def test_beats(text, beat):
    assert beat_of(text) == beat


def test_a_brace_holds_the_chord_before_it():
    starts = [(Word("word", "C", 2), Q(0)), (Word("word", "G7", 4), Q(2))]
    assert [held_by(Word("brace", "fermata", at), starts) for at in (0, 3, 9)] == [0, 0, 2]


def test_brackets_belong_to_the_word_before():
    words = [Word("word", text, at) for text, at in (("C", 0), ("(Am)", 2), ("(Em)", 7))]
    assert alternates_of(words) == ([words[0]], {0: words[1:]})


def test_signs_are_written_before_and_after_the_chords():
    bar = replace(Bar.of((4, 4), []), signs=("fine", "segno", "D.C."))
    assert write_signs(bar) == ("{segno} ", "{fine} {D.C.} ")


@pytest.mark.parametrize(
    ("text", "at"),
    [("| C | G7{fermata} |", Q(0)), ("| C | Dm7 Cm(maj7){fermata} |", Q(2)),
     ("| C | G7{fermata@3} |", Q(2)), ("| C | G7@1 C@3{fermata} |", Q(2))],
)  # fmt: skip
def test_a_sign_may_follow_its_chord_without_a_blank(text, at):
    apart = Tune.parse(text.replace("{", " {"))
    assert Tune.parse(text) == apart and apart.bars[1].fermatas == (at,)
    assert Tune.parse("| C{segno} | F{D.S.} |").bars[0].signs == ("segno",)
