"""Work beside the page: one at a time, the last asked counts, stopped, its results remembered."""

from __future__ import annotations

import threading
from types import SimpleNamespace

import pytest
from waiting import LIMIT

from harmonykit.errors import HarmonyError
from harmonykit.workbook.base.work import Bounded, Once, Progress, Worker, had


class Heard:
    """All that a worker said, in order."""

    def __init__(self) -> None:
        self.said: list[object] = []
        self.worker: Worker[str] = Worker(
            self.said.append,
            lambda error: self.said.append(error.what),
            lambda done, total: self.said.append((done, total)),
            lambda: self.said.append("stopped"),
        )


def endless(progress: Progress) -> str:
    while True:
        progress(1, 3)


def test_the_result_is_handed_on_once():
    heard = Heard()
    heard.worker.start(lambda progress: "found")
    assert heard.worker.wait(LIMIT)
    assert heard.said == ["found"] and not heard.worker.busy


def test_what_is_wrong_is_said():
    def wrong(progress: Progress) -> str:
        raise HarmonyError("no such tune")

    heard = Heard()
    heard.worker.start(wrong)
    assert heard.worker.wait(LIMIT)
    assert heard.said == ["no such tune"]


def test_work_can_be_stopped_and_leaves_no_result():
    heard = Heard()
    begun = threading.Event()

    def work(progress: Progress) -> str:
        begun.set()
        return endless(progress)

    heard.worker.start(work)
    assert begun.wait(LIMIT) and heard.worker.busy
    heard.worker.stop()
    assert heard.worker.wait(LIMIT) and not heard.worker.busy
    assert [each for each in heard.said if isinstance(each, str)] == ["stopped"]


def test_only_what_was_asked_last_counts():
    heard = Heard()
    running = 0
    most = 0

    def counted(progress: Progress) -> str:
        nonlocal running, most
        running += 1
        most = max(most, running)
        begun.set()
        try:
            return endless(progress)
        finally:
            running -= 1

    for _ in range(5):
        begun = threading.Event()
        heard.worker.start(counted)
        assert begun.wait(LIMIT)
    heard.worker.start(lambda progress: "last")
    assert heard.worker.wait(LIMIT)
    assert [each for each in heard.said if isinstance(each, str)] == ["last"]
    assert most == 1


def test_what_was_stopped_before_it_began_is_not_done():
    heard = Heard()
    begun, goes_on = threading.Event(), threading.Event()

    def first(progress: Progress) -> str:
        begun.set()
        assert goes_on.wait(LIMIT)
        return "first"

    heard.worker.start(first)
    assert begun.wait(LIMIT)
    heard.worker.start(lambda progress: "second")
    heard.worker.stop()
    goes_on.set()
    assert heard.worker.wait(LIMIT)
    assert heard.said == ["stopped"]


def test_progress_is_told_ten_times_a_second_at_most_and_at_the_end(monkeypatch):
    """By a clock of our own: 64 pieces of work of a thirty-second each, for two seconds."""
    done = 0
    monkeypatch.setattr(
        "harmonykit.workbook.base.work.time", SimpleNamespace(monotonic=lambda: 1000 + done / 32)
    )

    def work(progress: Progress) -> str:
        nonlocal done
        for done in range(1, 65):  # noqa: B007
            progress(done, 64)
        return "found"

    heard = Heard()
    heard.worker.start(work)
    assert heard.worker.wait(LIMIT)
    # A tenth is more than three thirty-seconds: every fourth is told.
    assert heard.said == [*((each, 64) for each in range(1, 62, 4)), (64, 64), "found"]


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_fault_of_ours_does_not_leave_the_page_waiting():
    heard = Heard()
    heard.worker.start(lambda progress: str(1 // 0))
    assert heard.worker.wait(LIMIT)
    assert not heard.worker.busy and "ZeroDivisionError" in str(heard.said[0])


def test_a_memory_forgets_what_was_not_asked_for_the_longest() -> None:
    memory: Bounded[str] = Bounded(2)
    memory.put(1, "a")
    memory.put(2, "b")
    assert memory.get(1) == "a"
    memory.put(3, "c")
    assert (memory.get(1), memory.get(2), memory.get(3)) == ("a", None, "c")


def test_what_could_not_be_made_is_not_tried_again() -> None:
    memory: Bounded[str | HarmonyError] = Bounded()
    made: list[str] = []

    def make() -> str:
        made.append("tried")
        raise HarmonyError("no")

    for _ in range(2):
        with pytest.raises(HarmonyError, match="no"):
            had(memory, "key", make)
    assert made == ["tried"] and had(memory, "other", lambda: "b") == "b"
    assert had(memory, "other", make) == "b"


def test_each_name_has_one_value_that_is_made_anew_for_another_key() -> None:
    made: list[str] = []

    def make(value: str) -> str:
        made.append(value)
        return value

    regions = Once()
    asked = [("plot", 1), ("table", 1), ("plot", 1), ("plot", 2), ("table", 1), ("plot", 1)]
    for name, key in asked:
        wanted = f"{name} {key}"
        assert regions.get(name, key, lambda wanted=wanted: make(wanted)) == wanted  # type: ignore
    assert made == ["plot 1", "table 1", "plot 2", "plot 1"]
