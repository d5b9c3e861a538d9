"""The chords of a score at their places."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.score.chords import Placer
from harmonykit.theory.chord import Chord
from harmonykit.theory.interval import Interval


def placed(*bars: list[dict], length: int = 4, shift: str = "P1") -> tuple[list, list]:
    starts = [Q(length * n) for n in range(len(bars) + 1)]
    placer = Placer([{"chords": chords} for chords in bars], starts, Interval.parse(shift))
    found = [(at, chord.symbol if chord else None) for at, chord in placer.place()]
    return found, placer.doubts


def typed(text: str, at: str = "0", room: str | None = None) -> dict:
    return {"typed": text, "at": at} | ({"room": room} if room else {})


def kind(root: str, at: str = "0", name: str = "major") -> dict:
    empty = {"text": "", "degrees": [], "bass": "", "inversion": 0}
    return {"root": root, "kind": name, "at": at, **empty}


def test_typed_symbols_are_read_as_players_type_them():
    # cases that general libraries misread: flats written b, minor written -.
    found, doubts = placed([typed("Eb7"), typed("C-7", "2")], [typed("Bb7"), typed("N.C.", "1")])
    assert found == [(0, "Eb7"), (2, "Cm7"), (4, "Bb7"), (5, None)]
    assert doubts == []


def test_two_chords_on_one_note_share_it():
    found, doubts = placed([typed("D7", "0", "2"), typed("D", "0", "2"), typed("G", "3", "1")])
    assert found == [(0, "D7"), (1, "D"), (3, "G")]
    assert doubts == [(0, "2 chords on one note share its time")]


def test_without_a_note_they_share_what_is_left_of_the_bar():
    assert placed([kind("C", "2"), kind("D", "2")], [])[0] == [(2, "C"), (3, "D")]


def test_the_same_chord_twice_is_one():
    assert placed([kind("C"), kind("C")]) == ([(0, "C")], [])


def test_silence_beside_a_chord_gives_way():
    assert placed([{"silence": True, "at": "0"}, kind("C")])[0] == [(0, "C")]


def test_an_offset_leads_into_the_next_bar():
    assert placed([kind("C"), kind("D", "5")], [kind("E", "3")])[0] == [
        (0, "C"),
        (5, "D"),
        (7, "E"),
    ]
    assert placed([kind("C"), kind("D", "9")])[0] == [(0, "C")]
    assert placed([kind("C", "-1")])[0] == [(0, "C")]


@pytest.mark.parametrize(
    "text", ["Fine", "D.C.", "^text", "_below", "<left", "@1,2 there", "", "1."]
)
def test_quoted_words_that_are_no_chords_are_doubts(text):
    # ABC 2.1, 4.19: ^ _ < > @ begin an annotation.
    found, doubts = placed([typed("C"), typed(text, "2")])
    assert found == [(0, "C")]
    assert [bar for bar, _ in doubts] == [0]
    assert "no chord" in doubts[0][1]


def test_letters_in_order_are_rehearsal_marks():
    found, doubts = placed([typed("A")], [], [typed("B")], [typed("C")])
    assert found == []
    assert "rehearsal letters" in doubts[0][1]
    assert placed([typed("A"), typed("D", "2")])[0] == [(0, "A"), (2, "D")]
    assert placed([typed("A")])[0] == [(0, "A")]


def test_an_alternate_in_brackets_is_for_print():
    # ABC 2.1, 4.18: "G(Em)" prints both and plays the first.
    found, doubts = placed([typed("G(Em)"), typed("D7(b9)", "2")])
    assert (found, doubts) == ([(0, "G"), (2, "D7b9")], [])
    placer = Placer([{"chords": [typed("G(Em)", "1")]}], [Q(0), Q(4)], Interval.parse("M2"))
    placer.place()
    assert placer.alternates == {1: [Chord.parse("F#m")]}
    found, doubts = placed([typed("G(slowly)")])
    assert "no chord" in doubts[0][1]


def test_what_the_standard_does_not_define_is_a_doubt():
    found, doubts = placed([kind("C"), kind("C", "2", "Neapolitan")])
    assert found == [(0, "C")]
    assert "Neapolitan" in doubts[0][1]


def test_a_root_that_is_none_is_a_doubt():
    found, doubts = placed([kind("C?"), kind("G", "2")])
    assert found == [(2, "G")]
    assert len(doubts) == 1


def test_written_chords_sound_elsewhere():
    assert placed([kind("D", name="dominant")], shift="-M2")[0] == [(0, "C7")]
