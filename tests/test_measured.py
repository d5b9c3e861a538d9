"""The table of the benchmarks: what its goals mean."""

from __future__ import annotations

from pathlib import Path

import measured
import pytest
from measured import COLUMNS, Row


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
