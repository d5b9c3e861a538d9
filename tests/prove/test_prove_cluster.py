"""A survey by worker processes that were started by hand, one of them killed on the way."""

from __future__ import annotations

import csv
import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from made_tunes import write_tunes
from proving import Tell, many
from waiting import until

ROOT = Path(__file__).resolve().parents[2]
COMMAND = "from harmonykit.cli import main; main()"
TUNES = 1_000


def environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"}


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[tuple[str, list[subprocess.Popen[str]]]]:
    """Start what the README says: a scheduler, and two workers of one process each."""
    dask = Path(sys.executable).with_name("dask")
    said = tmp_path / "scheduler.log"
    with ExitStack() as stack:
        log = stack.enter_context(said.open("w"))
        started: list[subprocess.Popen[str]] = []

        def start(*words: str) -> subprocess.Popen[str]:
            one = subprocess.Popen(
                [str(dask), *words], env=environment(), stdout=log, stderr=log, text=True
            )
            started.append(one)
            return one

        http = ["--no-dashboard", "--dashboard-address", "127.0.0.1:0"]
        start("scheduler", "--host", "127.0.0.1", "--port", "0", *http)
        until(lambda: "Scheduler at:" in said.read_text(), "the scheduler")
        found = re.search(r"Scheduler at:\s*(tcp://\S+)", said.read_text())
        assert found
        workers = [
            start("worker", found[1], "--nthreads", "1", "--no-dashboard", "--host", "127.0.0.1")
            for _ in range(2)
        ]
        until(lambda: said.read_text().count("Registered to:") >= 2, "two workers")
        yield found[1], workers
        for one in started:
            one.kill()
            one.wait()


def rows(folder: Path) -> list[dict[str, str]]:
    with (folder / "survey.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_killed_worker_loses_nothing(
    cluster: tuple[str, list[subprocess.Popen[str]]], tmp_path: Path, tell: Tell
) -> None:
    address, workers = cluster
    count = max(20, many(TUNES))
    write_tunes(tmp_path / "tunes", range(count))
    words = ["survey", str(tmp_path / "tunes"), "--keys", "written", "--levels", "1", "--out"]
    out = tmp_path / "cluster"
    running = subprocess.Popen(
        [sys.executable, "-c", COMMAND, *words, str(out), "--scheduler", address],
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    parts = out / "parts"
    until(lambda: parts.is_dir() and len(list(parts.iterdir())) >= count // 20, "some parts")
    workers[0].send_signal(signal.SIGKILL)
    said, _ = running.communicate()
    assert running.returncode == 0, said
    alone = subprocess.run(
        [sys.executable, "-c", COMMAND, *words, str(tmp_path / "alone"), "--workers", "2"],
        env=environment(),
        capture_output=True,
        text=True,
    )
    assert alone.returncode == 0, alone.stderr
    assert rows(out) == rows(tmp_path / "alone") and len(rows(out)) == count
    tell("a survey on two workers, one killed", f"{count:,} tunes", "real", "the same rows")
