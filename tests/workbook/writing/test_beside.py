"""What goes on beside the page: nothing is worked out twice, and what was stopped stays so."""

from __future__ import annotations

from pathlib import Path
from threading import Event
from typing import cast

import pytest
from waiting import LIMIT

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import build_lesson
from harmonykit.workbook.base.work import Progress, Stopped
from harmonykit.workbook.writing.beside import (
    Asked,
    Beside,
    Listeners,
    build,
    read_result,
    results_in,
)
from harmonykit.workbook.writing.reader import LessonReader, Look

TEXT, LONGER = Asked(Path("a.md"), "one"), Asked(Path("a.md"), "one and two")
ONE, TWO = Look(waits=frozenset({"one"})), Look(waits=frozenset({"one", "two"}))


class Slow:
    """Stands for a reader: it works until it is let go, and counts how often it was asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.free = Event()

    def work_out(self, _path: Path, text: str, progress: Progress, *, sheet: bool) -> Look:
        assert not sheet
        self.asked.append(text)
        self.free.wait(LIMIT)
        progress(1, 1)
        return Look()


def beside() -> tuple[Beside, Slow, list[str]]:
    slow, drawn = Slow(), list[str]()

    def ignored(*_given: object) -> None:
        pass

    listeners = Listeners(lambda: drawn.append("drawn"), ignored, ignored, ignored)
    return Beside(cast("LessonReader", slow), listeners), slow, drawn


def test_what_is_worked_out_already_is_not_begun_again() -> None:
    work, slow, drawn = beside()
    for _ in range(3):  # a page looks again at each key
        work.draw(TEXT, ONE)
    slow.free.set()
    assert work.wait(LIMIT) and slow.asked == ["one"] and drawn == ["drawn"]
    # It is there now: the same text asks for nothing more, another does.
    work.draw(TEXT, ONE)
    assert work.wait(LIMIT) and slow.asked == ["one"]
    work.draw(LONGER, TWO)
    assert work.wait(LIMIT) and slow.asked == ["one", "one and two"]


def test_more_than_is_worked_out_is_begun_anew() -> None:
    work, slow, drawn = beside()
    work.draw(TEXT, ONE)
    work.draw(LONGER, TWO)
    slow.free.set()
    # What was asked first is dropped: only the last is drawn.
    assert work.wait(LIMIT) and slow.asked[-1] == "one and two" and drawn == ["drawn"]


def test_what_was_stopped_waits_until_it_is_asked_for() -> None:
    work, slow, drawn = beside()
    work.draw(TEXT, ONE)
    work.stop(TEXT)
    slow.free.set()
    work.draw(TEXT, ONE)
    assert work.wait(LIMIT) and drawn == [] and work.going(TEXT, ONE).stopped
    assert not work.going(LONGER, TWO).stopped
    work.go_on()
    work.draw(TEXT, ONE)
    assert work.wait(LIMIT) and drawn == ["drawn"]


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
    assert list(dict.fromkeys(each.group for each in listed))[:2] == ["Page", "To print"]
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
