"""Whatever stands in a message comes up again: as title, field, words, chord, or as left out."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.tune.text.pasted.message import Message, read_message

# Lines of a message; each W is another made-up word, which no chord or field can be.
BEFORE = (
    "W W", "W W in D", "W - in D - 4/4 - 100 bpm - W W", "Hi W, W W in D I think, W",
    "hello, it's called W W, and it's in G W W, about 92 W", "Key: D W", "Title: W W, W, 3/4",
    "W / G / 4/4 / W", "by W W", "W by W W, waltz, W", "96 bpm W", "Capo 2 (W W)", "Form: A B A W",
    "# W", "bass: W W", "medium swing W", "W: W W", "W W W W W W W W W W", "Feel: W W, W",
)  # fmt: skip
AFTER = (
    "| D | G A7 |", "W: | D | G |", "| W W | W |", "D  G", "W W W", "D  W  G", "| D | G | (W W)",
    "[W]", "Verse 2", "A", "B", "Repeat verse W", "all: W W", "Note: W", "[D]W W [G]W W",
    "Verse: same chords W", "", "D", "Bridge: W W", "W, then A and B", "W x2", "Play A B A W",
)  # fmt: skip
SYLLABLES = ("zum", "kwo", "vib", "plu", "nok", "tri", "yos", "wem")


def made_up(count: int) -> str:
    """Return a word that no other number gives."""
    digits = [count // 64 % 8, count // 8 % 8, count % 8]
    return "".join(SYLLABLES[digit] for digit in digits).capitalize()


def written(lines: list[str]) -> tuple[str, list[str]]:
    words: list[str] = []

    def another(_: re.Match[str]) -> str:
        words.append(made_up(len(words)))
        return words[-1]

    return "\n".join(re.sub(r"\bW\b", another, line) for line in lines), words


def all_of(said: Message) -> str:
    """Return all that a message became, as one text."""
    lyrics = [verse for part in said.sections for bar in part.bars for verse in bar.lyric]
    names = [part.name for part in said.sections]
    fields = [said.title, said.composer, said.style, said.notes, *names, *said.order]
    return " ".join([*fields, *lyrics, *map(str, said.told), *said.doubts])


@given(st.lists(st.sampled_from(BEFORE), max_size=3), st.lists(st.sampled_from(AFTER), max_size=7))
def test_each_word_of_a_message_comes_up_again(before: list[str], after: list[str]) -> None:
    text, words = written([*before, "| D | A7 |" if "| D | G A7 |" in after else "D  A7", *after])
    found = all_of(read_message(text))
    assert [word for word in words if word not in found] == [], text


# Letters alone: by hand, how many bars are played.
@pytest.mark.parametrize(
    ("text", "bars"),
    [
        ("Kettle in G\nG C G D\nEm C D7\nG", 8),
        ("Verse\nD G A7\nEnding\n[D]", 4),
        ("| D | G | A7 |\nD", 4),
        ("D\nG\nA7\nD", 4),
        ("G C\nD\nEm C\nG", 6),
        ("A\nG C G D\nB\nEm C D7 G\nA", 12),  # the section again
    ],
)
def test_a_letter_alone_is_a_chord_where_no_section_has_its_name(text: str, bars: int) -> None:
    found = read_message(text)
    sizes = {part.name: len(part.bars) for part in found.sections}
    assert sum(sizes[name] for name in found.order) == bars
