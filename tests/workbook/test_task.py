"""Work beside the page: one at a time, the last asked counts, it can be stopped."""

from __future__ import annotations

import threading
import time

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.workbook.task import Progress, Worker


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


def long_work(progress: Progress, seconds: float = 10.0) -> str:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        progress(1, 3)
        time.sleep(0.005)
    return "long"


def test_the_result_is_handed_on_once():
    heard = Heard()
    heard.worker.start(lambda progress: "found")
    assert heard.worker.wait(5)
    assert heard.said == ["found"] and not heard.worker.busy


def test_what_is_wrong_is_said():
    def wrong(progress: Progress) -> str:
        raise HarmonyError("no such tune")

    heard = Heard()
    heard.worker.start(wrong)
    assert heard.worker.wait(5)
    assert heard.said == ["no such tune"]


def test_work_can_be_stopped_and_leaves_no_result():
    heard = Heard()
    heard.worker.start(long_work)
    time.sleep(0.05)
    assert heard.worker.busy
    heard.worker.stop()
    assert heard.worker.wait(5) and not heard.worker.busy
    assert "long" not in heard.said and heard.said[-1] == "stopped"


def test_only_what_was_asked_last_counts():
    heard = Heard()
    running = 0
    most = 0

    def counted(progress: Progress) -> str:
        nonlocal running, most
        running += 1
        most = max(most, running)
        try:
            return long_work(progress)
        finally:
            running -= 1

    for _ in range(5):
        heard.worker.start(counted)
        time.sleep(0.02)
    heard.worker.start(lambda progress: "last")
    assert heard.worker.wait(5)
    assert [each for each in heard.said if isinstance(each, str)] == ["last"]
    assert most == 1


def test_what_was_stopped_before_it_began_is_not_done():
    heard = Heard()
    begun = threading.Event()

    def first(progress: Progress) -> str:
        begun.set()
        time.sleep(0.1)
        return "first"

    heard.worker.start(first)
    assert begun.wait(5)
    heard.worker.start(lambda progress: "second")
    heard.worker.stop()
    assert heard.worker.wait(5)
    assert heard.said == ["stopped"]


def test_progress_is_told_ten_times_a_second_at_most():
    heard = Heard()
    heard.worker.start(lambda progress: long_work(progress, 0.5))
    assert heard.worker.wait(5)
    news = [each for each in heard.said if isinstance(each, tuple)]
    assert 2 <= len(news) <= 6


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_fault_of_ours_does_not_leave_the_page_waiting():
    heard = Heard()
    heard.worker.start(lambda progress: str(1 // 0))
    assert heard.worker.wait(5)
    assert not heard.worker.busy and "ZeroDivisionError" in str(heard.said[0])
