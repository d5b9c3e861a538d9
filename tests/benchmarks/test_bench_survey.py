"""A survey by workers, and by the number of tunes: ratios within one run."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from made_tunes import write_tunes
from measured import measured

from harmonykit.arrange.survey.engine import processors
from harmonykit.arrange.survey.run import Work, survey
from harmonykit.arrange.survey.table import read_survey
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")

LEAST = 1.6


def seconds(tunes: Path, out: Path, workers: int, *instruments: Instrument, level: int) -> float:
    begun = time.perf_counter()
    survey([tunes], out, instruments, levels=[level], work=Work(workers=workers))
    return time.perf_counter() - begun


@pytest.mark.skipif(processors() < 2, reason="two workers want two processors")
def test_two_workers_against_one(tmp_path: Path) -> None:
    """At least 1.6 times as fast, processes started in it; in the first or second round."""
    write_tunes(tmp_path / "tunes", range(15))
    ratios = []
    for number in range(2):
        one, two = (
            seconds(tmp_path / "tunes", tmp_path / f"{number}-{workers}", workers, GUITAR, level=3)
            for workers in (1, 2)
        )
        ratios.append(one / two)
        measured("a survey by two workers", two, beside=("one worker", one), least=LEAST)
        if ratios[-1] >= LEAST:
            break
    assert max(ratios) >= LEAST


def test_rows_a_second_stay_level_as_tunes_grow(tmp_path: Path) -> None:
    """From 1 tune to 100 in this process: none of the speeds falls below two thirds of another's.

    The single tune is taken often enough to be measured, its shapes known as later tunes' are.
    """
    paths = write_tunes(tmp_path / "tunes", range(100))
    seconds(tmp_path / "tunes", tmp_path / "warm", 1, UKULELE, level=1)
    speeds = {}
    for count in (1, 10, 100):
        rows = spent = 0.0
        for start in range(0, 100 if count == 100 else 20, count):
            folder = tmp_path / f"{count}-{start}"
            begun = time.perf_counter()
            survey(paths[start : start + count], folder, [UKULELE], levels=[1])
            spent += time.perf_counter() - begun
            rows += len(read_survey(folder))
        speeds[count] = rows / spent
        measured(f"a survey of {count} tunes", spent / rows * 1e3, "ms a row")
    assert min(speeds.values()) >= max(speeds.values()) * 2 / 3
