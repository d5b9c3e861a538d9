"""Engines: the same work here, in processes and on a real cluster; and how they end."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Iterator

import pytest
from waiting import until

from harmonykit.arrange.survey.engine import InProcess, engine, processors
from harmonykit.arrange.survey.plan import code_mark
from harmonykit.errors import HarmonyError


@pytest.fixture(scope="module")
def scheduler() -> Iterator[str]:
    """Start a cluster of two worker processes on this machine."""
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address="127.0.0.1:0", silence_logs=40
    ) as cluster:
        yield cluster.scheduler_address


def test_work_in_this_process() -> None:
    with engine() as opened:
        assert opened.width == 1
        assert opened.executor.submit(os.getpid).result() == os.getpid()
        assert isinstance(opened.executor.submit(int, "x").exception(), ValueError)


def test_work_in_processes_of_this_machine() -> None:
    with engine(2) as opened:
        found = {opened.executor.submit(os.getpid).result() for _ in range(4)}
        assert opened.width == 2 and os.getpid() not in found
        assert opened.executor.submit(divmod, 7, 2).result() == (3, 1)
        assert isinstance(opened.executor.submit(int, "x").exception(), ValueError)


def test_processes_end_at_once_with_what_they_do() -> None:
    with pytest.raises(KeyboardInterrupt), engine(2) as opened:
        for _ in range(5):
            opened.executor.submit(signal.pause)
        opened.executor.submit(os.getpid)
        until(lambda: len(multiprocessing.active_children()) == 2, "two workers")
        raise KeyboardInterrupt
    # The executor's own thread may be first to see that they have ended.
    until(lambda: not multiprocessing.active_children(), "the workers end")


def test_work_on_a_cluster(scheduler: str) -> None:
    with engine(scheduler=scheduler) as opened:
        assert opened.width == 2
        assert opened.executor.submit(os.getpid).result() != os.getpid()
        assert opened.executor.submit(divmod, 7, 2).result() == (3, 1)


def test_workers_of_other_code_are_refused(scheduler: str, monkeypatch: pytest.MonkeyPatch) -> None:
    mine = code_mark()
    monkeypatch.setattr("harmonykit.arrange.survey.engine.code_mark", _other)
    assert _other() != mine
    with pytest.raises(HarmonyError, match="has different code"), engine(scheduler=scheduler):
        pass


def _other() -> str:
    # It is sent to the workers by name, and tells processes apart.
    return f"code of {os.getpid()}"


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nowhere"])
def test_no_scheduler(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("harmonykit.arrange.survey.engine._PATIENCE", 0.5)
    with pytest.raises(HarmonyError, match="no scheduler answers at"), engine(scheduler=address):
        pass


def test_without_dask_it_is_said_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with (
        pytest.raises(HarmonyError, match=r"(?s)is not installed.*harmonykit\[cluster\]"),
        engine(scheduler="tcp://127.0.0.1:9"),
    ):
        pass


def test_no_worker() -> None:
    with pytest.raises(HarmonyError, match="0 workers"), engine(0):
        pass
    assert processors() >= 1
    assert isinstance(InProcess().submit(len, "ab").result(), int)
