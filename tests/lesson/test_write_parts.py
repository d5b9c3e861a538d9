"""What the writer of a folder makes of the parts, and of a page with questions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.write import Writer


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Lesson:
    return load_lesson(write_lesson(tmp_path_factory.mktemp("writer")))


def writer(lesson: Lesson, folder: Path, *outputs: str, **more: object) -> Writer:
    front = replace(lesson.front, outputs=outputs)
    return Writer(replace(lesson, front=front), folder, (), **more)  # type: ignore[arg-type]


def written(one: Writer) -> list[str]:
    for _, task in one.tasks():
        task()
    return sorted(one.made)


def test_parts_are_a_document_and_with_sound_a_midi_file_each(
    small: Lesson, tmp_path: Path
) -> None:
    alone = writer(small, tmp_path / "alone", "parts")
    assert [name for name, _ in alone.tasks()] == ["figures", "tables", "parts"]
    assert [name for name in written(alone) if "part" in name] == ["parts.pdf"]
    assert (tmp_path / "alone" / "parts.pdf").read_bytes().startswith(b"%PDF")
    assert alone.sounds() == []
    both = writer(small, tmp_path / "both", "parts", "sound")
    names = [name for name in written(both) if "part" in name]
    assert names == [
        "part-1-one-finger.mid", "part-2-two-strings.mid", "part-3-usual-grips.mid",
        "part-4-rich-grips.mid", "part-5-bass.mid", "part-6-sing.mid", "parts.pdf",
    ]  # fmt: skip
    for name in names[:-1]:
        assert (tmp_path / "both" / name).read_bytes().startswith(b"MThd")
    labels = [label for label, _ in both.sounds()]
    assert labels[:2] == ["sound: tuning", "sound: parts"]
    without = [label for label, _ in writer(small, tmp_path, "sound").sounds()]
    assert without == [labels[0], *labels[2:]]


def test_a_page_links_to_its_questions_where_there_are_any(small: Lesson, tmp_path: Path) -> None:
    plain = writer(small, tmp_path / "plain", "page")
    asked = writer(small, tmp_path / "asked", "page", questions=lambda lesson: "<p>Which?</p>")
    assert "practice.html" not in written(plain) and "practice.html" in written(asked)
    assert (tmp_path / "asked" / "practice.html").read_text("utf-8") == "<p>Which?</p>"
    for folder, there in (("plain", False), ("asked", True)):
        page = (tmp_path / folder / "page.html").read_text("utf-8")
        assert ('href="practice.html"' in page) is there
