"""What a build does where nothing is said: as if each default were given."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.lesson.arranging import play_level
from harmonykit.lesson.build import build_lesson, build_loaded, load_class, load_lesson


@pytest.fixture
def script(lesson_path: Path) -> Path:
    """Return a lesson of which the script alone is built."""
    text = lesson_path.read_text("utf-8")
    lesson_path.write_text(text.replace('group = "Quay"', 'outputs = ["script"]'), "utf-8")
    return lesson_path


def test_a_build_is_silent_unless_a_bar_is_asked_for(
    script: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def load() -> object:
        return load_class(script)

    builds = (
        lambda **said: build_lesson(script, tmp_path / "out", **said),
        lambda **said: build_loaded(load, tmp_path / "out", **said),  # type: ignore[arg-type]
    )
    for build in builds:
        for said, heard in (({}, False), ({"progress": False}, False), ({"progress": True}, True)):
            assert build(**said) == tmp_path / "out"
            shown = capsys.readouterr()
            assert ("file" in shown.err) is heard and not shown.out
            files = {each.name for each in (tmp_path / "out").iterdir()}
            assert {"script.md", "manifest.json"} <= files


def test_a_lesson_is_read_as_if_each_default_were_given(lesson_path: Path) -> None:
    plain = load_lesson(lesson_path)
    given = load_lesson(lesson_path, None, None, None, play_level, None)
    assert given.front == plain.front and given.sections == plain.sections
    assert given.played == plain.played and given.facts == plain.facts
    (alone,) = load_class(lesson_path)
    assert alone.front == plain.front and alone.played == plain.played
    assert load_class(lesson_path, None, None, play_level, ())[0].front == plain.front


def test_a_class_plays_what_is_asked_for_each_instrument_once(lesson_path: Path) -> None:
    text = lesson_path.read_text("utf-8")
    also = 'also = ["ukulele", "ukulele low g"]'
    lesson_path.write_text(text.replace('group = "Quay"', also), "utf-8")
    names = [each.front.instrument.name for each in load_class(lesson_path)]
    # The lesson's own is not among the others.
    assert names == ["ukulele", "ukulele low g"]
    asked = ("ukulele low g", "ukulele", "ukulele low g")
    lessons = load_class(lesson_path, instruments=asked)
    assert [each.front.instrument.name for each in lessons] == ["ukulele low g", "ukulele"]
    assert {each.front.also for each in lessons} == {("ukulele",)}
