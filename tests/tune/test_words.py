"""Syllables as values, and which verse is sung in which pass."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.tune.tune import Tune
from harmonykit.tune.words import Syllable, in_verses, place_of, verses_sung


@pytest.mark.parametrize(
    ("text", "place", "verse"),
    [
        ("", "single", 1),
        ("oar", "held", 1),
        ("oar", "last", 1),
        ("oar", "end", 0),
        (" oar", "end", 1),
    ],
)
def test_what_is_no_syllable(text, place, verse):
    with pytest.raises(HarmonyError):
        Syllable(text, place, verse)


def test_a_syllable_stands_in_its_word_by_what_is_beside_it():
    # MusicXML 4.0, syllabic: begin, middle, end, single.
    goes_on = [True, True, False, False]
    opened = [False, *goes_on[:-1]]
    found = [
        place_of(opened=before, goes_on=on) for before, on in zip(opened, goes_on, strict=True)
    ]
    assert found == ["begin", "middle", "end", "single"]


def test_verses_of_a_pass_are_numbered_from_one():
    words = (Syllable("a", verse=1), Syllable("b", verse=3), Syllable("c", verse=4))
    assert in_verses(words, (3, 4)) == (Syllable("b", verse=1), Syllable("c", verse=2))


@pytest.mark.parametrize(
    ("times", "verses", "here", "sung"),
    [
        # ABC standard 2.1, 5.2: the first time the first, then the second and so on.
        (2, 2, {1, 2}, [(1,), (2,)]),
        (1, 3, {1, 2, 3}, [(1, 2, 3)]),
        (3, 2, {1, 2}, [(1,), (2,), (1,)]),
        (2, 4, {1, 2, 3, 4}, [(1, 3), (2, 4)]),
        # A refrain has one text for all passes.
        (2, 2, {1}, [(1,), (1,)]),
        (2, 0, set(), [(1,), (1,)]),
    ],
)
def test_verses_by_hand(times, verses, here, sung):
    assert [verses_sung(n, times, verses, here) for n in range(1, times + 1)] == sung


SONG = """
format = 1
title = "Lantern Slip"
key = "C"
meter = "2/4"
form = {form}
[[sections]]
name = "A"
changes = "{changes}"
melody = "{melody}"
words = {words}
"""


@pytest.mark.parametrize(
    ("changes", "form", "words", "sung"),
    [
        ("|: C | F :|", ["A"], ["| in | out |", "| up | down |"], "in out up down"),
        ("| C | F |", ["A", "A"], ["| in | out |", "| up | down |"], "in out up down"),
        ("|: C | [1 F :| [2 G ||", ["A"], ["| in | out | |", "| up | | down |"], "in out up down"),
        ("|: C | [1 F :| [2 G ||", ["A"], ["| in | out | away |"], "in out in away"),
        ("| C {fine} | F {D.C. al fine} |", ["A"], ["| in | out |", "| up | |"], "in out up"),
        # A bar in which one verse alone has words is a refrain.
        ("|: C | F :|", ["A"], ["| in | out |", "| up | . |"], "in out up out"),
    ],
)
def test_which_words_are_sung_in_a_tune(changes, form, words, sung):
    melody = "| A4:2 " * (words[0].count("|") - 1) + "|"
    tune = Tune.parse(SONG.format(changes=changes, form=form, words=words, melody=melody))
    assert " ".join(w.text for note in tune.melody for w in note.words[:1]) == sung
