"""The table of the benchmarks: what its goals mean."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import measured
import pytest
from lab_in_browser import NOT_ALONE
from measured import COLUMNS, Row
from waiting import until


@pytest.mark.parametrize(
    ("ours", "theirs", "goal", "least", "figure", "met"),
    [
        (2.0, 4.0, 1.0, False, 0.5, True),  # half the time of the reference
        (4.0, 2.0, 1.5, False, 2.0, False),
        (2.0, 40.0, 20.0, True, 20.0, True),  # twenty times as fast
        (2.0, 30.0, 20.0, True, 15.0, False),
        (90.0, None, 100.0, False, 90.0, True),
        (110.0, None, 100.0, False, 110.0, False),
        (5.0, 1.0, None, False, 5.0, True),  # no goal was set
    ],
)
def test_a_row(
    ours: float, theirs: float | None, goal: float | None, least: bool, figure: float, met: bool
) -> None:
    row = Row("reading", ours, "s", "music21", theirs, goal, least)
    assert (row.figure, row.met) == (figure, met)
    assert row.cells()[-1] == ("" if goal is None else "met" if met else "NOT MET")


@pytest.mark.parametrize(
    ("told", "rounds"),
    [
        ([(1.0, 9.0), (1.04, 9.2), (0.5, 9.0)], 2),  # both came twice
        ([(1.0, 9.0), (1.2, 9.0), (1.01, 9.0), (0.5, 9.0)], 3),
        ([(1.0, 9.0), (1.0, 7.0), (1.0, 5.0), (1.0, 3.0)], 4),  # the second never does
    ],
)
def test_what_came_twice_is_not_measured_again(
    told: list[tuple[float, float]], rounds: int
) -> None:
    left = iter(told)
    assert measured.repeated(lambda: next(left), 4) == told[:rounds]


def test_what_was_not_measured_is_a_line_that_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(measured, "ROWS", [Row("reading", 2.0, "s", "", None, None, False)])
    monkeypatch.setattr(measured, "MISSED", [])
    measured.missed("whole: memory", "OSError: no\troom\nand more of it")
    measured.write(tmp_path / "bench.tsv")
    head, row, last = (tmp_path / "bench.tsv").read_text(encoding="utf-8").splitlines()
    assert tuple(head.split("\t")) == COLUMNS
    assert row.split("\t")[:3] == ["reading", "2", "s"]
    cells = last.split("\t")
    assert (len(cells), cells[0]) == (len(COLUMNS), "whole: memory")
    assert cells[-1] == "not measured: OSError: no room"


def test_the_last_version_is_the_last_by_number(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(measured, "KEPT", tmp_path)
    for version in ("0.2.0", "0.10.0", "0.9.1"):
        (tmp_path / f"bench-{version}.tsv").write_text(f"what\tfigure\nreading\t{version}\n")
    assert measured.last_kept() == {"reading": "0.10.0"}


@pytest.mark.skipif(os.name != "posix", reason="a process without a parent gets another one")
def test_what_a_killed_run_started_ends_by_itself() -> None:
    watched = NOT_ALONE + "print(os.getpid(), flush=True)\nsignal.pause()"
    run = (
        "import subprocess, sys\nsubprocess.Popen([sys.executable, '-c', sys.argv[1]], stdin=-1)\n"
    )
    line = "sys.stdin.read()"
    parent = subprocess.Popen(
        [sys.executable, "-c", run + line, watched], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert parent.stdout is not None and parent.stdin is not None
    child = int(parent.stdout.readline())
    parent.kill()
    parent.wait()
    until(lambda: not _runs(child), "what it started has ended")
    parent.stdout.close()
    parent.stdin.close()


def _runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    # One that has ended and that nobody has asked for is no longer running.
    stat = Path(f"/proc/{process}/stat")
    return not stat.exists() or stat.read_text().rpartition(")")[2].split()[0] != "Z"
