"""A form that counts each pass of a repeated section; what is played was written by hand.

After a jump repeats are not taken, and the last ending is (common practice, no source).
"""

from __future__ import annotations

import pytest

from harmonykit.tune.text.pasted.message import Message, read_message
from harmonykit.tune.tune import Tune

ENDINGS = "A:\n|: F | Dm |1. Gm7 | C7 :|2. C7 | F ||\nB:\n| Bb | C7 |\n"
PLAIN = "A:\n|: F | C7 :|\nB:\n| Bb | Bb |\n"
ROUND = "A:\n|: F | C7 :|\nB:\n|: Bb | Bb :|\n"
TAG, INTRO = "Tag:\n| Gm7 | F |\n", "Intro:\n| G7 | C7 |\n"
FIRST, SECOND = "F Dm Gm7 C7", "F Dm C7 F"

PLAYED = {
    (ENDINGS, "AABA"): f"{FIRST} {SECOND} Bb C7 {SECOND}",
    (ENDINGS, "AABBA"): f"{FIRST} {SECOND} Bb C7 Bb C7 {FIRST} {SECOND}",
    (ENDINGS, "AAB"): f"{FIRST} {SECOND} Bb C7",
    (ENDINGS, "AABAA"): f"{FIRST} {SECOND} Bb C7 {FIRST} {SECOND}",
    (ENDINGS, "ABA"): f"{FIRST} {SECOND} Bb C7 {FIRST} {SECOND}",
    (ENDINGS + TAG, "AABA Tag"): f"{FIRST} {SECOND} Bb C7 {SECOND} Gm7 F",
    (INTRO + ENDINGS, "Intro AABA"): f"G7 C7 {FIRST} {SECOND} Bb C7 {SECOND}",
    (INTRO + ENDINGS + TAG, "Intro AABA Tag"): f"G7 C7 {FIRST} {SECOND} Bb C7 {SECOND} Gm7 F",
    (PLAIN, "AABA"): "F C7 F C7 Bb Bb F C7",
    (PLAIN, "AABB"): "F C7 F C7 Bb Bb Bb Bb",
    (ROUND, "AABB"): "F C7 F C7 Bb Bb Bb Bb",
    (ROUND, "AABBA"): "F C7 F C7 Bb Bb Bb Bb F C7",
}


def chords_of(said: Message) -> str:
    held = ""
    found = []
    for played in Tune.of_message(said).playing:
        held = next((c.chord.symbol for c in played.bar.changes if c.chord), held)
        found.append(held)
    return " ".join(found)


@pytest.mark.parametrize(("parts", "form"), PLAYED)
@pytest.mark.parametrize("below", [False, True])
def test_a_form_that_names_a_repeated_section_for_each_pass(
    parts: str, form: str, below: bool
) -> None:
    line = f"Form: {form}\n"
    said = read_message(f"Kites in F\n{parts}{line}" if below else f"Kites in F\n{line}{parts}")
    assert chords_of(said) == PLAYED[parts, form]
    assert len(said.doubts) == (form == "AABBA" and parts == ENDINGS)


def test_a_jump_that_the_form_means_is_told_and_written() -> None:
    said = read_message(f"Kites in F\nForm: AABA\n{ENDINGS}")
    assert ("again", "line 2: the form names A for each pass: D.C. al Fine after B") in said.told
    signs = [(section.name, bar.signs) for section in said.sections for bar in section.bars]
    assert [pair for pair in signs if pair[1]] == [("A", ("fine",)), ("B", ("D.C. al fine",))]


def test_a_form_that_no_jump_says_is_played_by_the_repeats_and_told() -> None:
    said = read_message(f"Kites in F\nForm: AABABA\n{PLAIN}")
    (doubt,) = said.doubts
    assert "line 2, column 1" in doubt
    assert "the form names A once, where its repeat plays it 2 times" in doubt
    assert chords_of(said).split().count("F") == 6


def test_verses_go_on_through_the_jump() -> None:
    rows = "A:\n|: F | C7 :|\n| one sea | so blue |\n| two sails | so white |\n| three | home |\n"
    said = read_message(f"Kites in F\nForm: AABA\n{rows}B:\n| Bb | Bb |\n| far | off |\n")
    sung = [" ".join(bar.lyric) for bar in Tune.of_message(said).playing]
    assert sung == ["one sea", "so blue", "two sails", "so white", "far", "off", "three", "home"]
