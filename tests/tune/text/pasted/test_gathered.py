"""Sections that stand again in a message; what is expected was written by hand beside each."""

from __future__ import annotations

import pytest

from harmonykit.tune.text.pasted.message import Message, read_message

SONG = "Kites in F\nVerse 1:\n| F | Gm7 | C7 | F |\nChorus:\n| Bb | F |\n"
WORDS = (
    "Kites in F\nVerse 1\nF        C7      F\nThe kite is up above the bay\n"
    "Bb       F      C7\nand all the gulls have flown\n\n"
)
MORE = "The rope is long, the wind is low\nand all the boats come home\n"


def played(said: Message) -> str:
    return " ".join(name.replace(" ", "") for name in said.order)


def told(said: Message) -> list[str]:
    return [text for about, text in said.told if about in ("again", "left out")]


@pytest.mark.parametrize("how", ["...same chords", "(same chords)", "ditto", "chords as verse"])
@pytest.mark.parametrize("mark", [" ", ": ", "\n"])
def test_a_section_has_the_bars_of_the_one_that_is_meant(mark: str, how: str) -> None:
    said = read_message(f"{SONG}Verse 2{mark}{how}")
    assert played(said) == "Verse Chorus Verse"
    assert [text.split(": ")[1] for text in told(said)] == ["Verse 2 has the bars of Verse 1"]
    assert not said.doubts


# What follows the song, and what is played.
AGAIN = {
    "2nd verse same chords": "Verse Chorus Verse",
    "repeat verse": "Verse1 Chorus Verse1",
    "Outro same as chorus": "Verse1 Chorus Chorus",
    "Chorus x2": "Verse1 Chorus Chorus Chorus",
    "(repeat chorus x2)": "Verse1 Chorus Chorus Chorus",
    "chorus again": "Verse1 Chorus Chorus",
    "Chorus\nBridge: | C7 | C7 |\nchorus": "Verse1 Chorus Chorus Bridge Chorus",
    "repeat chorus\n| C7 | C7 |": "Verse1 Chorus Chorus Chorus2",
    "Verse 2\nChorus\nVerse 3\nChorus: | Bb | C7 |": "Verse Chorus Verse Chorus Verse Chorus2",
}


@pytest.mark.parametrize("more", AGAIN)
def test_the_order_in_which_sections_are_played(more: str) -> None:
    assert played(read_message(SONG + more)) == AGAIN[more]


def test_a_section_may_be_as_one_that_comes_later_and_letters_are_meant_by_name() -> None:
    assert (
        played(read_message("Intro: same as A\nA: | F | C7 |\nB: | Bb | F |\nIntro")) == "A A B A"
    )
    assert played(read_message("Form: ABC\nA: | F |\nB: same as A\nC: | C7 |")) == "A A C"


def test_times_beside_a_name_count_beside_repeats_within_the_section() -> None:
    assert played(read_message("A x2:\n|: F | Gm7 :|\n| C7 | F |\nB: | Bb |")) == "A A B"
    assert played(read_message("A x2:\n|: F | Gm7 :|\nB: | Bb |\nA x2")) == "A B A"


def test_bars_without_a_name_are_repeated_by_signs_or_where_they_have_some_as_a_whole() -> None:
    (section,) = read_message("| F | C7 |\nsame again\n| Bb | F |").sections
    assert [(bar.opens, bar.closes) for bar in section.bars] == [
        (True, 0), (False, 2), (False, 0), (False, 0),
    ]  # fmt: skip
    assert played(read_message("|: F | C7 :|\nsame again")) == "A A"


@pytest.mark.parametrize(
    ("more", "doubt"),
    [
        (
            "Verse 2",
            "line 6, column 1: Verse 2 has the bars of Verse 1: none are written below its name",
        ),
        ("Verse 2: as verse 3", "line 6, column 1: Verse 2 has no bars, and no verse 3 is there"),
        ("Bridge", "line 6, column 1: Bridge has no bars: left out; type its bars below its name"),
        ("| C7 | F | same chords", "line 6, column 12: 'same chords' behind chords is left out"),
    ],
)
def test_what_is_not_sure_and_what_is_not_taken_is_told(more: str, doubt: str) -> None:
    assert [each[: len(doubt)] for each in read_message(SONG + more).doubts] == [doubt]


@pytest.mark.parametrize("name", ["Verse 2\n", "Verse 2: same chords\n", "Verse 2\n(ditto)\n"])
def test_words_alone_are_another_verse_under_the_same_bars(name: str) -> None:
    said = read_message(WORDS + "Chorus\n| Bb | F |\n\n" + name + MORE)
    assert played(said) == "Verse Chorus Verse"
    lyrics = [bar.lyric for bar in said.sections[0].bars]
    assert [words[0] for words in lyrics] == [
        "The kite", "is up above", "the bay", "and all", "the gulls", "have flown",
    ]  # fmt: skip
    assert " ".join(words[1] for words in lyrics) == " ".join(MORE.split())
    assert not any(text.startswith("line 1") and "rope" in text for text in told(said))


def test_a_stanza_without_a_name_is_another_verse_where_its_lines_match() -> None:
    said = read_message(f"{WORDS}{MORE}\nSee you on Thursday\nJo")
    (section,) = said.sections
    assert (section.bars[0].opens, section.bars[-1].closes) == (True, 2)
    assert all(len(bar.lyric) == 2 for bar in section.bars)
    assert [text for text in told(said) if "bars" not in text] == [
        "line 11: See you on Thursday", "line 12: Jo",
    ]  # fmt: skip
    assert any("another verse" in doubt for doubt in said.doubts)


def test_words_that_do_not_match_are_left_out_and_told() -> None:
    said = read_message(f"{WORDS}Verse 2\nThe rope is long\n")
    assert any("1 line of words, and the verse before has 2" in doubt for doubt in said.doubts)
    assert "line 9: The rope is long" in told(said)


@pytest.mark.parametrize("name", ["Verse 2\n", "Verse 2 (same chords as verse 1)\n", "[Verse 2]\n"])
@pytest.mark.parametrize("more", [MORE, ""])
def test_repeat_chorus_below_another_verse_is_another_section(name: str, more: str) -> None:
    said = read_message(f"{WORDS}Chorus\n| Bb | F |\n\n{name}{more}\nrepeat chorus\nBridge\n| C7 |")
    if more or "same" in name:
        assert played(said) == "Verse Chorus Verse Chorus Bridge"
    else:  # nothing but a name has the bars that are named below it
        assert played(said) == "Verse1 Chorus Chorus Bridge"
