"""A survey by workers, and by the number of tunes: ratios within one run, of processor time."""

from __future__ import annotations

import shutil
import time
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import active_children, get_context
from pathlib import Path
from typing import Any

import pytest
from made_tunes import write_tunes
from measured import measured
from psutil import Process

from harmonykit.arrange.survey.engine import processors
from harmonykit.arrange.survey.run import Work, survey
from harmonykit.arrange.survey.table import read_survey
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")

LEAST, SHARED = 1.6, 0.9
BOTH, MANY = 2, 50


def worked(tunes: Path, out: Path, work: Work) -> float:
    """Survey guitars, and return the seconds by the clock."""
    begun = time.perf_counter()
    survey([tunes], out, [GUITAR], levels=[3], work=work)
    return time.perf_counter() - begun


def here(tunes: Path, out: Path) -> tuple[float, float]:
    """Return the processor time and the seconds of a survey in a process of its own."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as alone:
        took = alone.submit(worked, tunes, out, Work()).result()
        return alone.submit(time.process_time).result(), took


def apart(tunes: Path, out: Path) -> tuple[list[float], float]:
    """Return the same of two processes that know nothing of each other, with half the tunes each.

    Every other one in the order of their sizes, so that the halves are alike; neither waits, and
    each has to find the shapes.
    """
    files = sorted(tunes.iterdir(), key=lambda file: -file.stat().st_size)
    for n, file in enumerate(files):
        half = out / f"half-{(n + n // 2) % BOTH}"
        half.mkdir(parents=True, exist_ok=True)
        shutil.copy(file, half)
    with ThreadPoolExecutor(BOTH) as both:
        halves = both.map(lambda n: here(out / f"half-{n}", out / f"own-{n}"), range(BOTH))
        busy, took = zip(*halves, strict=True)
    return list(busy), max(took)


def by_processes(tunes: Path, out: Path) -> tuple[list[float], float]:
    """Return the processor time of each of two processes of a survey, and the seconds."""
    busy: dict[int, float] = {}

    def told(done: int, total: int) -> None:
        for child in active_children():
            spent = Process(child.pid).cpu_times()
            busy[child.pid or 0] = spent.user + spent.system

    took = worked(tunes, out, Work(workers=BOTH, progress=told))
    return list(busy.values()), took


def by_cluster(tunes: Path, out: Path) -> tuple[list[float], float]:
    """Return the same of two workers of a cluster, from when they stand ready."""
    from dask import config
    from distributed import LocalCluster

    opened: Any = LocalCluster
    with (
        # As DEVELOPERS.md says: nobody looks where workers spend their time.
        config.set({"distributed.worker.profile.enabled": False}),
        opened(
            n_workers=BOTH, threads_per_worker=1, dashboard_address=None, silence_logs=50
        ) as cluster,
        cluster.get_client() as client,
    ):
        before = client.run(time.process_time)
        took = worked(tunes, out, Work(scheduler=cluster.scheduler_address))
        after = client.run(time.process_time)
    return [after[name] - before[name] for name in before], took


@pytest.mark.skipif(processors() < BOTH, reason="two workers want two processors")
def test_two_workers_against_one(tmp_path: Path) -> None:
    """By the processor time of the busier of two workers, against one and against two apart.

    At least nine tenths of what two processes get that share nothing and wait for nothing, in the
    same run: what a machine's two processors lose together, and what both have to find out of
    shapes, no way of sharing work can win back.  Against one, 1.6 is what is wished for: it is met
    where processors do not share their caches.  What starts workers counts where the survey does
    it.  The seconds by the clock stand below: on a machine that has other work they say what that
    left.
    """
    write_tunes(tmp_path / "tunes", range(24))
    one, took = here(tmp_path / "tunes", tmp_path / "one")
    alone, _ = apart(tmp_path / "tunes", tmp_path / "apart")
    beside = "one, of a processor", one
    measured("a survey by two processes that share nothing", max(alone), beside=beside)
    rows = []
    for name, work in {"processes": by_processes, "workers of a cluster": by_cluster}.items():
        busy, both_took = work(tmp_path / "tunes", tmp_path / name)
        assert len(busy) == BOTH
        busier = max(busy)
        measured(f"a survey by two {name}", busier, beside=beside, least=LEAST)
        two = "two that share nothing", max(alone)
        rows.append(measured(f"a survey by two {name}, sharing", busier, beside=two, least=SHARED))
        measured(f"a survey by two {name}, shared", sum(busy) / BOTH, beside=("busier", busier))
        measured(f"a survey by two {name}, by the clock", both_took, beside=("one", took))
    assert all(row.met for row in rows)


def test_rows_a_second_stay_level_as_tunes_grow(tmp_path: Path) -> None:
    """From 1 tune to 50 in this process: none of the speeds falls below two thirds of another's.

    In every other key.  The single tune is taken often enough to be measured, its shapes known as
    later tunes' are.
    """
    paths = write_tunes(tmp_path / "tunes", range(MANY))

    def surveyed(tunes: list[Path], folder: Path) -> float:
        begun = time.process_time()
        survey(tunes, folder, [UKULELE], levels=[1], tonics=range(0, 12, 2))
        return time.process_time() - begun

    surveyed(paths, tmp_path / "warm")
    speeds = {}
    for count in (1, 10, MANY):
        rows = spent = 0.0
        for start in range(0, max(count, 20), count):
            folder = tmp_path / f"{count}-{start}"
            spent += surveyed(paths[start : start + count], folder)
            rows += len(read_survey(folder))
        speeds[count] = rows / spent
        measured(f"a survey of {count} tunes", spent / rows * 1e3, "ms a row")
    assert min(speeds.values()) >= max(speeds.values()) * 2 / 3
