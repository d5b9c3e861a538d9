"""Where the work of a survey is done: in this process, in processes of this machine, on a cluster.

All three are executors of ``concurrent.futures``; nothing else knows which of them it is.
"""

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any, TypeVar

from harmonykit.arrange.survey.plan import code_mark
from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass

T = TypeVar("T")
# A cluster that does not answer for so long, in seconds, is not there.
_PATIENCE = 10


@dataclass(frozen=True, slots=True)
class Engine:
    """An executor, and how many pieces it works on at once."""

    executor: Executor
    width: int


def processors() -> int:
    """Return how many processors this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity else os.cpu_count() or 1


@contextmanager
def engine(workers: int = 1, scheduler: str = "") -> Iterator[Engine]:
    """Open an engine, and close it at the end: at once, whatever is still being worked on.

    Parameters
    ----------
    workers : int
        Processes on this machine; with 1 the work is done in this one.
    scheduler : str
        The address of a ``dask.distributed`` scheduler, whose workers are used instead.

    Raises
    ------
    HarmonyError
        If there is no worker, no scheduler at the address, or its workers have other code.
    """
    if workers < 1:
        raise HarmonyError(f"{workers} workers", rule="at least one")
    if scheduler:
        chosen = _cluster(scheduler)
    else:
        chosen = _here() if workers == 1 else _processes(workers)
    with chosen as opened:
        yield opened


class InProcess(Executor):
    """Does each piece of work when it is handed in."""

    def submit(self, function: Callable[..., T], /, *arguments: Any, **named: Any) -> Future[T]:
        """Do the work; return what is already done."""
        future: Future[T] = Future()
        try:
            future.set_result(function(*arguments, **named))
        except Exception as error:  # noqa: BLE001  as other executors do
            future.set_exception(error)
        return future


@contextmanager
def _here() -> Iterator[Engine]:
    yield Engine(InProcess(), 1)


@contextmanager
def _processes(workers: int) -> Iterator[Engine]:
    spawn = multiprocessing.get_context("spawn")
    others = set(multiprocessing.active_children())
    executor = ProcessPoolExecutor(workers, mp_context=spawn, initializer=_begin_worker)
    try:
        yield Engine(executor, workers)
    finally:
        executor.shutdown(wait=False, cancel_futures=True)
        for child in set(multiprocessing.active_children()) - others:
            child.terminate()
            child.join()


def _begin_worker() -> None:
    """Leave Ctrl-C to the parent, and end when the parent has ended, however it did."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: Any) -> None:
    parent.join()
    os._exit(1)


@contextmanager
def _cluster(address: str) -> Iterator[Engine]:
    try:
        import distributed
    except ImportError:
        what = "a scheduler needs dask.distributed, which is not installed"
        raise HarmonyError(what, mend="pip install 'harmonykit[cluster]'") from None
    connect: Any = distributed.Client
    try:
        client = connect(address, timeout=_PATIENCE)
    except (OSError, ValueError) as error:
        raise HarmonyError(
            f"no scheduler answers at {address}: {error}", mend="tcp://HOST:8786"
        ) from None
    try:
        width = _check_workers(client)
        executor = client.get_executor()
        try:
            yield Engine(executor, width)
        finally:
            executor.shutdown(wait=False)
    finally:
        client.close()


def _check_workers(client: Any) -> int:
    """Return how many threads the workers have; make sure that they run this code."""
    threads: int = sum(client.nthreads().values())
    if not threads:
        raise HarmonyError("the scheduler has no workers", mend="dask worker ADDRESS")
    strange = [name for name, mark in client.run(code_mark).items() if mark != code_mark()]
    if strange:
        raise HarmonyError(
            f"the worker {strange[0]} has different code from this machine",
            rule="numbers from different versions cannot be mixed",
            mend="install the same version of harmonykit everywhere",
        )
    return threads
