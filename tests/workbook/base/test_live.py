"""What is live: one view, a table of answers, and a picture for where no view is alive."""

from __future__ import annotations

from typing import Any

import pytest

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.workbook import ClockPanel
from harmonykit.workbook.base.live import ANSWERED, Answers, Live, Said
from harmonykit.workbook.base.view import PageView


class Counter(Live[PageView]):
    """Counts what is said, and refuses what is odd."""

    title = "counter"

    def __init__(self) -> None:
        self.total = self.shown = 0
        self.answered: list[str] = []

    def _make_view(self) -> PageView:
        return PageView(title=self.title)

    def _show(self) -> None:
        self.shown += 1

    def _answers(self) -> Answers:
        return {"add": self._add, "weigh": self._weigh, "fall": lambda said: 1 // 0}  # type: ignore

    def _add(self, said: Said) -> None:
        number = int(said.text("add"))
        if number % 2:
            raise HarmonyError(f"{number} is odd")
        self.total += number

    def _weigh(self, said: Said) -> None:
        self.total += len(said.file)

    def _answered(self, said: Said, refused: HarmonyError | None) -> None:
        self.answered.append(refused.what if refused else "done")

    def draw(self) -> Drawing:
        return ClockPanel("C").draw()


def test_the_view_is_made_once_and_shown_at_once() -> None:
    counter = Counter()
    assert counter.view is counter.view and counter.shown == 1
    assert counter.view.title == "counter"


def test_what_is_said_is_answered_and_what_cannot_be_is_told() -> None:
    counter = Counter()
    sent: list[object] = []
    counter.view.send = lambda content, _buffers=None: sent.append(content)
    messages: list[tuple[dict[str, Any], Any]] = [
        ({"add": 4}, None),
        ({"add": "3"}, []),
        ({"weigh": "file"}, [memoryview(b"abc")]),
        ({"nothing": "known"}, []),
    ]
    for content, buffers in messages:
        counter._heard(counter.view, content, buffers)
    assert counter.total == 4 + 3
    assert counter.answered == ["done", "3 is odd", "done", "done"]
    # Each gets word that it was heard: a page that gets none says so.
    assert sent == [ANSWERED] * 4


def test_a_fault_of_ours_is_seen_and_does_not_leave_the_page_waiting() -> None:
    counter = Counter()
    with pytest.raises(ZeroDivisionError):
        counter._heard(counter.view, {"fall": ""}, [])
    assert counter.answered == ["done"]


def test_where_no_view_is_alive_there_are_a_picture_and_words() -> None:
    counter = Counter()
    bundle = counter._repr_mimebundle_()
    assert bundle["text/plain"] == counter.draw().alt
    assert bundle["image/svg+xml"] == counter.draw()._repr_mimebundle_()["image/svg+xml"]
    assert "application/vnd.jupyter.widget-view+json" in bundle
    counter._still = lambda: None  # type: ignore[method-assign]
    assert "image/svg+xml" not in counter._repr_mimebundle_()
