"""What goes on beside the page: nothing is worked out twice, and what was stopped stays so."""

from __future__ import annotations

from pathlib import Path
from threading import Event
from typing import cast

from waiting import LIMIT

from harmonykit.workbook.base.task import Progress
from harmonykit.workbook.writing.beside import Asked, Beside, Listeners
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
