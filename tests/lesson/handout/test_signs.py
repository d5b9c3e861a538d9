"""Signs that the fonts lack: a square on the page and a word about it, never a gap."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sheets import assert_well_set, read, text_of

from harmonykit.draw.base.glyphs import printable
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import write_handout
from harmonykit.lesson.handout.signs import MISSING, legible, said_of


@pytest.mark.parametrize(
    "text, printed, lacking",
    [
        ("Łódź – “Ebb” naïve Ωмя B♭°7", "Łódź – “Ebb” naïve Ωмя B♭°7", []),
        ("潮汐 tide", "□□ tide", ["潮", "汐"]),
        ("wave \U0001f30a\ufe0f!", "wave □!", ["\U0001f30a"]),
        ("e\u0301bbe", "ébbe", []),
        ("a\tb\x00c\u200dd", "a bcd", []),
    ],
)
def test_what_is_printed(text: str, printed: str, lacking: list[str]) -> None:
    found: dict[str, None] = {}
    made = legible(text, found).replace("\u200d", "")
    assert (made, list(found)) == (printed, lacking)


@given(st.text(max_size=20))
def test_everything_that_is_printed_has_a_sign(text: str) -> None:
    found: dict[str, None] = {}
    made = legible({"a": [text, 1]}, found)
    assert all(ord(sign) in printable() for sign in made["a"][0]) and made["a"][1] == 1
    assert (MISSING in made["a"][0]) >= bool(found)


def test_many_signs_are_not_all_told() -> None:
    assert said_of({}) == ""
    said = said_of(dict.fromkeys("一丁丂七丄丅丆万"))
    assert said.endswith("U+4E00, U+4E01, U+4E02, U+4E03, U+4E04, U+4E05 and others.")


def test_on_the_page(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    lesson = replace(lesson, front=replace(lesson.front, title="Ebb 潮 🌊"))
    reader = read(write_handout(lesson))
    assert_well_set(reader)
    pages = [text_of(page) for page in reader.pages]
    assert "Ebb □ □" in pages[0]
    assert any("fonts of this sheet lack: U+6F6E, U+1F30A." in page for page in pages)
    assert reader.metadata is not None and reader.metadata.title == "Ebb 潮 🌊"
