"""Words of a song in a message come under the bars that they stand under."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune

# Our own songs, in the manners in which songs are sent.
SENT = {
    "bars of words under bars of chords": (
        "Key: G, 3/4\n| G | G7 | C Cm | % |\n| The gate is | shut a- | gain, the | |",
        [("The gate is",), ("shut a-",), ("gain, the",), ()],
    ),
    "two verses": (
        "Verse:\n| Am | Dm | E7 |\n| a boat | I | see |\n| do | re | mi |",
        [("a boat", "do"), ("I", "re"), ("see", "mi")],
    ),
    "chords above their words": (
        "Key: C\n\nC          Am   F\nThe gate is shut again\nG7\ntill spring\n",
        [("The gate is",), ("shut",), ("again",), ("till spring",)],
    ),
    "chords above later letters of short words": (
        "Key: C\n\nC     F     G7          Am\nAll stones fall on the wharf\n",
        [("All",), ("stones",), ("fall on the",), ("wharf",)],
    ),
    "a chord before a word, and one above its last letter": (
        "Key: C\n\nF      C    G7   Am\nEvening falls on the wall\n",
        [("Evening",), ("falls",), ("on",), ("the wall",)],
    ),
    "a chord above the last word's last letter": (
        "Key: C\n\nF           C\nEvening falls\n", [("Evening",), ("falls",)],
    ),
    "a chord above a later syllable of a longer word": (
        "Key: C\n\nC           F\nWe gather again\n", [("We gather again",), ()],
    ),
    "a line of words that a telephone broke": (
        "Key: C\n\nC          Am   F\nThe gate is shut again in the\nrain,\nG7\ntill spring\nx Jo",
        [("The gate is",), ("shut",), ("again in the rain,",), ("till spring",)],
    ),
    "a line that has ended, and a remark below it": (
        "Key: C\n\nC          Am   F\nThe gate is shut again now.\nslower here\nG7\ntill spring",
        [("The gate is",), ("shut",), ("again now.",), ("till spring",)],
    ),
    "chords in brackets within the words": (
        "Key: C\n[C]The gate is [Am]shut a[F]gain\n",
        [("The gate is",), ("shut a-",), ("gain",)],
    ),
    "chords in brackets within bars": (
        "| [C] The gate [Am] is | [F] shut | [G7] |", [("The gate is",), ("shut",), ()],
    ),
}  # fmt: skip


@pytest.mark.parametrize("manner", SENT)
def test_each_bar_has_the_words_below_it(manner: str) -> None:
    text, wanted = SENT[manner]
    tune = Tune.parse(text)
    assert [bar.lyric for bar in tune.bars] == wanted
    assert not any("left out" in doubt for doubt in tune.doubts)
    # What is said of a tune is kept in its own form.
    assert Tune.parse(write_text(tune)).sections == tune.sections


def test_remarks_are_no_words_of_a_song() -> None:
    tune = Tune.parse("Tune: Gate\n| C | F |\nplay this part softly\n| G7 | C |")
    assert not any(bar.lyric for bar in tune.bars)


def test_more_words_than_bars_are_told() -> None:
    tune = Tune.parse("| C | F |\n| one here | two here | three here |")
    assert [bar.lyric for bar in tune.bars] == [("one here",), ("two here",)]
    assert any("3 bars of words under 2 bars" in doubt for doubt in tune.doubts)


def test_what_was_meant_as_chords_is_still_refused() -> None:
    for text in ("| The gate | is shut |", "| C | F |\n| Gmim7 | Cx7 |", "| I | ii V |"):
        with pytest.raises(HarmonyError):
            Tune.parse(text)


@pytest.mark.parametrize(
    ("heading", "title", "tempo"),
    [
        ("Kites over Quay (in G, waltz, around 96)", "Kites over Quay", 96),
        ("Kites (in G, lively)", "Kites", 120),
        ("Kites [in G, ca. 88]", "Kites", 88),
        ("Kites (for the class)", "Kites (for the class)", 120),
    ],
)
def test_a_heading_says_things_in_brackets_behind_the_title(
    heading: str, title: str, tempo: int
) -> None:
    tune = Tune.parse(f"{heading}\n\n| G | D7 | G | G |\n")
    assert (tune.title, str(tune.key), tune.tempo) == (title, "G major", tempo)


@pytest.mark.parametrize("heading", ["Kites (in G)", "Kites (in G), 3/4", "Kites - in G"])
def test_a_title_has_its_key_in_brackets(heading: str) -> None:
    tune = Tune.parse(f"{heading}\n\n| G | D7 |")
    assert (tune.title, str(tune.key)) == ("Kites", "G major")
