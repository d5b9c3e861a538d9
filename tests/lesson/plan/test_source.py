"""The lesson file: what it holds, and what is said of one that cannot be used."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.source import read_lesson, split_lesson
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune


def test_front_matter_is_read(lesson_path: Path) -> None:
    front, body = read_lesson(lesson_path)
    assert (front.title, front.group, front.tune.title) == (
        "A small lesson",
        "Quay",
        "Four Bars of Fog",
    )
    assert front.shape.digits == "4-5-4-5" and front.shape_chord.symbol == "Ddim7"
    assert str(front.scale) == "G minor sixth-diminished"
    (level,) = front.levels
    assert level.limits.max_fret == 12 and level.least_seconds == 0.5 and level.tempo == 120
    assert body.lines[0] == "" and body.first_line == 18


def test_the_line_of_the_body_is_the_line_of_the_file(lesson_path: Path) -> None:
    _, body = read_lesson(lesson_path)
    lines = lesson_path.read_text(encoding="utf-8").splitlines()
    for index, line in enumerate(body.lines):
        assert lines[body.first_line - 1 + index] == line


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"no header", "no header"),
        (b"", "no header"),
        (b"+++\ntitle = \n+++\n", "not TOML"),
        (b"\xff\xfe+++\n", "UTF-8"),
    ],
)
def test_what_is_no_lesson_says_so(tmp_path: Path, data: bytes, words: str) -> None:
    path = tmp_path / "bad.md"
    path.write_bytes(data)
    with pytest.raises(HarmonyError, match=words):
        read_lesson(path)


def test_a_missing_tune_is_said(lesson_path: Path) -> None:
    (lesson_path.parent / "fog.toml").unlink()
    with pytest.raises(HarmonyError, match="fog"):
        read_lesson(lesson_path)


def test_another_tune_takes_the_place_of_the_own(lesson_path: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    own = (tmp_path / "fog.toml").read_text(encoding="utf-8")
    other.write_text(own.replace("Four Bars of Fog", "Another"), encoding="utf-8")
    front, _ = read_lesson(lesson_path, other)
    assert front.tune.title == "Another"


def test_text_in_memory_is_read_as_a_file_is(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.unlink()
    head, body = split_lesson(lesson_path, text)
    front = head.read()
    assert front.title == "A small lesson" and front.tune.title == "Four Bars of Fog"
    assert text.splitlines()[body.first_line - 1 :] == list(body.lines)
    with pytest.raises(HarmonyError) as caught:
        split_lesson(lesson_path, text.replace("hand = 3", "hand = 4"))[0].read()
    assert caught.value.place is not None and caught.value.place.line == 15


def test_a_tune_may_be_read_by_another(lesson_path: Path) -> None:
    asked: list[tuple[str, int | None]] = []

    def remember(path: Path, number: int | None) -> Tune:
        asked.append((path.name, number))
        return read_tune(path, number)

    split_lesson(lesson_path, lesson_path.read_text(encoding="utf-8"))[0].read(read_tune=remember)
    assert asked == [("fog.toml", None)]


TITLE = 'title = "A small lesson"'


@pytest.mark.parametrize(
    ("old", "new", "line", "said", "typed"),
    [
        (TITLE, 'title = ""', 3, "title is empty", 'title = "My own words"'),
        (TITLE, 'title = "  "', 3, "title is empty", 'title = "My own words"'),
        (TITLE, 'title = "A\\nB"', 3, "title has more than one line", 'title = "A B"'),
        ('group = "Quay"', 'group = "Quay\\n"', 4, "group has more", 'group = "Quay"'),
        ('name = "Leading"', 'name = ""', 13, "name is empty", 'name = "My own words"'),
        (TITLE, "title = 7", 3, "title is 7", 'title = "7"'),
        ("hand = 3", 'hand = "3"', 15, "hand is '3'", "hand = 3"),
    ],
)
def test_what_cannot_be_printed_is_told_with_a_line_that_works(
    lesson_path: Path, old: str, new: str, line: int, said: str, typed: str
) -> None:
    text = lesson_path.read_text()
    assert old in text
    lesson_path.write_text(text.replace(old, new, 1))
    with pytest.raises(HarmonyError, match=said) as caught:
        read_lesson(lesson_path)
    assert caught.value.place is not None and caught.value.place.line == line
    assert caught.value.mend == typed
    lesson_path.write_text(text.replace(old, typed, 1))
    read_lesson(lesson_path)


@pytest.mark.parametrize("key", ["format", "title", "tune", "instrument", "chord"])
def test_a_missing_line_is_told_as_it_is_typed(lesson_path: Path, key: str) -> None:
    text = lesson_path.read_text()
    kept = [line for line in text.split("\n") if not line.startswith(f"{key} =")]
    kept = [line for line in kept if not (key == "chord" and "shape" in line)]
    lesson_path.write_text("\n".join(kept))
    with pytest.raises(HarmonyError, match=f"{key} is missing") as caught:
        read_lesson(lesson_path)
    lesson_path.write_text("\n".join([kept[0], caught.value.mend, *kept[1:]]))
    read_lesson(lesson_path)


@pytest.mark.parametrize("sign", ["\x00", "\x0c", "\x1b", "\x85"])
def test_a_control_character_in_the_text_is_told_with_its_place(
    lesson_path: Path, sign: str
) -> None:
    text = lesson_path.read_text() + f"\nListen{sign} and play.\n"
    lesson_path.write_text(text)
    with pytest.raises(HarmonyError, match=f"U\\+{ord(sign):04X}") as caught:
        read_lesson(lesson_path)
    place = caught.value.place
    assert place is not None and (place.line, place.column) == (text.count("\n"), 7)


@pytest.mark.parametrize("text", ["no header", "", "words\n+++\nformat = 1\n+++\n"])
def test_a_missing_header_is_looked_for_in_the_first_line(text: str) -> None:
    with pytest.raises(HarmonyError, match="no header") as caught:
        split_lesson(Path("bad.md"), text)
    place = caught.value.place
    assert place is not None and (place.line, place.column) == (1, 1)
    assert place.text == text.partition("\n")[0]
