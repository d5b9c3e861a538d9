"""What a message says stands again; the phrases were written by hand, as people type them."""

from __future__ import annotations

import pytest

from harmonykit.tune.text.pasted.again import Again, kind_of, parted, said_again
from harmonykit.tune.text.pasted.plain import Naming

SAID = {
    "...same chords": Again(),
    "(same chords)": Again(),
    "ditto": Again(),
    "as above": Again(),
    "wie oben": Again(),
    "2nd verse same chords": Again("2nd verse"),
    "Verse 2 (same chords)": Again("Verse 2"),
    "[Verse 2 - same chords]": Again("Verse 2"),
    "[Verse 2] (same chords)": Again("Verse 2"),
    "[Verse 2]: chords as verse": Again("Verse 2", "verse"),
    "same again for verse 2": Again("verse 2"),
    "2. Strophe: gleiche Akkorde": Again("2. Strophe"),
    "Couplet 2 : mêmes accords": Again("Couplet 2"),
    "chords as verse": Again("", "verse"),
    "repeat verse": Again("", "verse"),
    "(repeat chorus x2)": Again("", "chorus", 2),
    "ditto verse 1": Again("", "verse 1"),
    "B: same as A": Again("B", "A"),
    "Solo over verse chords": Again("Solo", "verse"),
    "Intro: same as the first verse": Again("Intro", "first verse"),
}


@pytest.mark.parametrize("text", SAID)
def test_phrases_for_what_stands_again(text: str) -> None:
    assert said_again(text) == SAID[text]


@pytest.mark.parametrize(
    "text",
    ["Verse 2", "Chorus x2", "A", "F C7 F", "the same old tide", "repeat it softly", "as the day"],
)
def test_other_lines_say_nothing_of_it(text: str) -> None:
    assert said_again(text) is None
    assert parted(text, Naming()) == (text, "")


@pytest.mark.parametrize(
    ("text", "chords"),
    [("| F | C7 | (same chords)", "| F | C7 | "), ("Verse: Bb F ...same as A", "Verse: Bb F ")],
)
def test_they_are_parted_from_chords(text: str, chords: str) -> None:
    assert parted(text, Naming()) == (chords, text.removeprefix(chords))


def test_a_second_verse_is_of_the_kind_of_the_first() -> None:
    names = ("Verse 1", "2nd verse", "third Verse", "last verse")
    assert [kind_of(name) for name in names] == [("verse", n) for n in (1, 2, 3, 0)]
