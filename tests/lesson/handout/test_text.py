"""Text on its way to the page: styles kept, nothing read as markup."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.lesson.handout.text import paragraphs, plain, spans, unbroken
from harmonykit.words.numbers import counted_word


def test_bold_and_italic_are_kept() -> None:
    assert paragraphs("**two *three* four** _five_.") == [
        [["two ", "b"], ["three", "bi"], [" four", "b"], [" ", ""], ["five", "i"], [".", ""]]
    ]  # fmt: skip


def test_lists_code_and_lines() -> None:
    text = "First\nline.\n\n1. one\n2. two\n\n```\n#code $x$\n```\n"
    said = ["".join(part for part, _ in runs) for runs in paragraphs(text)]
    assert said == ["First line.", "– one", "– two", "#code $x$"]


@given(st.text(alphabet="#$@<>\\\"'x =+;{}", min_size=1, max_size=30))
def test_signs_of_the_page_setter_stay_as_typed(text: str) -> None:
    typed = f"a{text}a".replace("\\", "\\\\")
    read = "".join(part for runs in paragraphs(typed) for part, _ in runs)
    assert read.replace(" ", "") == f"a{text}a".replace(" ", "") or "<" in text


def test_only_words_too_long_for_a_line_may_break() -> None:
    assert unbroken("F♯m7♭5 and a shanty") == "F♯m7♭5 and a shanty"
    broken = unbroken("o" * 200)
    assert broken.replace("\u200b", "") == "o" * 200
    assert max(map(len, broken.split("\u200b"))) <= 16


def test_no_text_makes_no_run() -> None:
    assert plain("") == [] and plain("tide", "b") == [["tide", "b"]]


@pytest.mark.parametrize(
    "numbers, said",
    [
        ([5], "bar 5"),
        ([5, 6], "bars 5 and 6"),
        ([5, 6, 7], "bars 5 to 7"),
        ([7, 1, 2, 3, 5, 5], "bars 1 to 3, 5 and 7"),
        ([1, 2, 3, 4, 9, 10, 11, 12], "bars 1 to 4 and 9 to 12"),
    ],
)
def test_spans(numbers: list[int], said: str) -> None:
    assert spans(numbers) == said


def test_counted_words() -> None:
    assert [counted_word(n) for n in (1, 12, 13, 20, 21, 64)] == [
        "one", "twelve", "thirteen", "twenty", "21", "64",
    ]  # fmt: skip
