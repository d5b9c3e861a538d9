"""What is built from the page, and what of it may be opened."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import build_lesson
from harmonykit.workbook.base.task import Stopped
from harmonykit.workbook.writing.build import build, read_result, results_in
from harmonykit.workbook.writing.reader import LessonReader

LESSON = """+++
format = 1
title = "Rope"
tune = "heron_landing"
instrument = "ukulele"
chord = "Bdim7"
scale = "C major"
outputs = ["script", "page", "scores"]

[[levels]]
moves = []
tempo = 90
+++

## One

{{ always("symmetry") }}

{{ chart(1) }}
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "rope.md"
    path.write_text(LESSON, encoding="utf-8")
    return path


def test_it_builds_what_the_command_builds_and_lists_it(path: Path) -> None:
    told: list[tuple[int, int]] = []
    reader = LessonReader()
    out = build(path, path.parent / "out", reader, lambda done, total: told.append((done, total)))
    plain = build_lesson(path, path.parent / "plain")
    assert {p.name: p.read_bytes() for p in out.iterdir() if p.is_file()} == {
        p.name: p.read_bytes() for p in plain.iterdir() if p.is_file()
    }
    assert told[-1][0] == told[-1][1] > 1
    listed = results_in(out)
    assert [each.group for each in listed][:2] == ["Page", "To print"]
    assert {each.name for each in listed} >= {"page.html", "script.md", "facts.csv"}
    kind, data = read_result(out, "page.html")
    assert kind == "text/html" and data == (out / "page.html").read_bytes()


def test_a_build_that_is_stopped_leaves_nothing(path: Path) -> None:
    def stop(done: int, total: int) -> None:
        raise Stopped

    with pytest.raises(Stopped):
        build(path, path.parent / "out", LessonReader(), stop)
    assert sorted(p.name for p in path.parent.iterdir()) == ["rope.md"]


@pytest.mark.parametrize("name", ["../rope.md", "manifest.json", "/etc/passwd", "none.html", ""])
def test_nothing_else_is_handed_out(path: Path, name: str) -> None:
    out = build(path, path.parent / "out", LessonReader(), lambda done, total: None)
    with pytest.raises(HarmonyError, match="was not built"):
        read_result(out, name)


def test_a_folder_of_somebody_elses_has_no_results(tmp_path: Path) -> None:
    (tmp_path / "manifest.json").write_text('{"files": {"page.html": {}}}', encoding="utf-8")
    assert results_in(tmp_path) == results_in(tmp_path / "none") == ()
