"""A survey from its start, or from where it was stopped, to its table."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from pathlib import Path
from typing import Any

from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.survey import plan as plans
from harmonykit.arrange.survey.cells import COLUMNS, Row, cells, empty_row, read
from harmonykit.arrange.survey.engine import Engine, engine
from harmonykit.arrange.survey.folder import Folder, opened
from harmonykit.arrange.survey.plan import Asked, Plan, Source, Task
from harmonykit.errors import HarmonyError, need_flag, need_whole, wrong_kind
from harmonykit.files.manifest import Carried, Manifest
from harmonykit.fretboard.strings.instrument import InstrumentLike, as_instrument
from harmonykit.theory.typed import as_typed
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass

Told = Callable[[int, int], None]
Done = tuple[str, tuple[Row, ...], int]
"""A part's name, its rows, and how many tasks are done with it."""


@dataclass(frozen=True, slots=True)
class Work:
    """How a survey works through its tunes.

    Parameters
    ----------
    workers : int
        Processes on this machine; 1 works in this one.
    scheduler : str
        The address of a ``dask.distributed`` scheduler, to work there instead.
    retry : bool
        Whether tunes that could not be read are to be tried again.
    progress : callable, optional
        Told the number of tasks that are done, and of all; an exception raised in it
        stops the survey.
    kept : callable, optional
        Told of each file of ours that the user had edited, and under which name it is kept.

    Examples
    --------
    >>> hk.survey.Work(workers=4)
    Work(workers=4)
    """

    workers: int = 1
    scheduler: str = ""
    retry: bool = False
    progress: Told | None = None
    kept: Callable[[Carried], object] | None = None

    def __post_init__(self) -> None:
        need_whole(self.workers, "workers")
        need_flag(self.retry, "retry")

    def __repr__(self) -> str:
        return as_typed(self)


def survey(
    paths: Iterable[str | Path],
    out: str | Path,
    instruments: Iterable[InstrumentLike],
    *,
    levels: Iterable[int] | None = None,
    tonics: Iterable[int] = plans.ALL,
    moves: Iterable[str] = USUAL,
    work: Work | None = None,
) -> Path:
    """Measure the best arrangement of every tune in every key, on every instrument and level.

    What is done is kept as it comes: a survey that was stopped, or killed, goes on from there when
    it is asked for again.

    Parameters
    ----------
    paths : iterable of str or Path
        Files, folders, and bare names of tunes that ship.
    out : str or Path
        The folder, which is made; ``hk.survey.read`` reads it.
    instruments : iterable of Instrument or str
    levels : iterable of int, optional
        Levels of the hand; all three where not given.
    tonics : iterable of int
        Pitch classes; all twelve where not given, none for each tune's own key alone.
    moves : iterable of str
        What the arrangements may use, as for ``reharmonise``.
    work : Work, optional
        Processes, what is tried again, and who is told; one process where not given.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    HarmonyError
        If the folder is not a survey's, there is no tune, or the engine stops.  A tune that
        cannot be read is a row with its error instead.
    """
    if work is not None and not isinstance(work, Work):
        raise wrong_kind(work, "how a survey works", "Work(workers=2)")
    work = work or Work()
    asked = Asked(
        tuple(map(as_instrument, instruments)),
        tuple(levels or plans.all_levels()),
        tuple(tonics),
        tuple(moves),
    )
    plan = Plan(plans.find_sources(paths), asked)
    if not plan.sources:
        raise HarmonyError("the tune is missing", rule="files of tunes, or folders with such files")
    with opened(Path(out)) as folder:
        for source in plan.sources if work.retry else ():
            folder.drop(plan.unread_name(source))
        folder.begin(_manifest(plan))
        with engine(work.workers, work.scheduler) as working:
            _work(plan, folder, working, work.progress or _untold)
        folder.finish(_manifest(plan), _rows(plan, folder))
        if work.kept is not None:
            for each in folder.kept:
                work.kept(each)
    return Path(out)


def _untold(done: int, total: int) -> None:
    pass


def _work(plan: Plan, folder: Folder, opened: Engine, progress: Told) -> None:
    """Do what is not done yet."""
    readings = _readings(plan, folder)
    total = sum(len(plan.tasks(source)) for source in plan.sources)
    done = total - sum(len(reading.tasks) for reading in readings)
    progress(done, total)
    if opened.width > 1:
        # The longest first: no worker is left with one of those when all others are done.
        readings = tuple(sorted(readings, key=lambda reading: -reading.source.size))
    for name, rows, count in _Loop(plan, opened, readings).run():
        folder.put(name, rows)
        done += count
        progress(done, total)


@dataclass(frozen=True, slots=True)
class _Reading:
    """A tune that is to be read, and what is to be done with it."""

    source: Source
    tasks: tuple[Task, ...]


def _readings(plan: Plan, folder: Folder) -> tuple[_Reading, ...]:
    """Return what is left to do; two files that are the same are done once."""
    seen: set[str] = set()
    found = []
    for source in plan.sources:
        if source.error or folder.has(plan.unread_name(source)):
            continue
        tasks = [task for task in plan.tasks(source) if task.name not in seen]
        left = tuple(task for task in tasks if not folder.has(task.name))
        seen.update(task.name for task in left)
        found += [_Reading(source, left)] if left else []
    return tuple(found)


class _Loop:
    """Keeps an engine busy: each tune is read once, and its tasks follow before the next tune."""

    def __init__(self, plan: Plan, opened: Engine, readings: Iterable[_Reading]) -> None:
        self.plan, self.engine = plan, opened
        self.unread = deque(readings)
        self.ready: deque[tuple[Task, Tune]] = deque()
        self.running: dict[Future[Any], _Reading | Task] = {}

    def run(self) -> Iterator[Done]:
        """Yield what is done as it comes."""
        while self.unread or self.ready or self.running:
            yield from self._fill()
            ended, _ = wait(self.running, return_when=FIRST_COMPLETED)
            for future in ended:
                yield from self._take(self.running.pop(future), _result(future))

    def _fill(self) -> Iterator[Done]:
        # One more than are worked on, so that none waits while a result is written.
        while len(self.running) <= self.engine.width and (self.ready or self.unread):
            if self.ready:
                task, tune = self.ready.popleft()
                asked = self.plan.asked
                self._submit(
                    task, cells, tune, task.instrument, task.level, asked.tonics, asked.moves
                )
                continue
            reading = self.unread.popleft()
            try:
                data = reading.source.data()
            except HarmonyError as error:
                yield self._failed(reading, plans.one_line(error))
            else:
                self._submit(reading, read, reading.source.path.name, data)

    def _submit(self, what: _Reading | Task, function: Callable[..., Any], *given: Any) -> None:
        try:
            self.running[self.engine.executor.submit(function, *given)] = what
        except RuntimeError as error:
            raise _broken(error) from error

    def _take(self, what: _Reading | Task, result: Any) -> Iterator[Done]:
        if isinstance(what, Task):
            yield what.name, result, 1
        elif isinstance(result, Tune):
            self.ready.extend((task, result) for task in what.tasks)
        else:
            yield self._failed(what, result)

    def _failed(self, reading: _Reading, error: str) -> Done:
        row = empty_row(reading.source.title, error)
        return self.plan.unread_name(reading.source), (row,), len(reading.tasks)


def _result(future: Future[Any]) -> Any:
    try:
        return future.result()
    except Exception as error:  # noqa: BLE001  each engine has its own for workers that are gone
        raise _broken(error) from error


def _broken(error: Exception) -> HarmonyError:
    return HarmonyError(
        f"a worker stopped: {type(error).__name__}: {error}",
        rule="the finished results are kept",
        mend="run the same command again to continue",
    )


def _manifest(plan: Plan) -> Manifest:
    asked = plan.asked
    return {
        "code": plans.code_mark(),
        "instruments": [instrument.name for instrument in asked.instruments],
        "levels": list(asked.levels),
        "tonics": list(asked.tonics),
        "moves": list(asked.moves),
        "tunes": len(plan.sources),
        "columns": dict(COLUMNS),
    }


def _rows(plan: Plan, folder: Folder) -> Iterator[list[str]]:
    """Yield the rows of all tunes in order, each with its file and number."""
    for source in plan.sources:
        head = [source.path.as_posix(), "" if source.number is None else str(source.number)]
        for row in _rows_of(plan, folder, source):
            yield head + row


def _rows_of(plan: Plan, folder: Folder, source: Source) -> Iterator[list[str]]:
    if source.error:
        row = empty_row(source.title, source.error)
        yield ["" if value is None else str(value) for value in row.values()]
    elif folder.has(plan.unread_name(source)):
        yield from folder.rows(plan.unread_name(source))
    else:
        for task in plan.tasks(source):
            yield from folder.rows(task.name)
