"""The table of the benchmarks: what its goals mean."""

from __future__ import annotations

import pytest
from measured import Row


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
