"""The chart of a comparison in the terminal."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.arrange.idioms.frames import framed
from harmonykit.arrange.search import reharmonise
from harmonykit.cli.chart import chart_lines, tune_lines
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune

TUNE = """
format = 1
title = "Two Capstans"
key = "G"
meter = "4/4"
tempo = 80
form = ["A", "B", "A"]
[[sections]]
name = "A"
changes = "| G6 | E7 | Am7 D7 | G6 G6 |"
[[sections]]
name = "B"
changes = "| Cm6 G6 |"
"""
# By hand (common practice, no source).
CHART = [
    "In G",
    "  1  G6      E7      Am7 D7  G6",
    "     I6      V7/ii   ii7 V7  I6",
    "  5  Cm6 G6",
    "     iv6 I6",
    "Cadences: authentic in bar 4; plagal in bar 5.",
    "ii–V chains: Am7 D7 (bar 3).",
]


def lines_of(text: str, instrument: str = "ukulele") -> list[str]:
    way = reharmonise(Tune.parse(text), Instrument.named(instrument), (), k=1)[0]
    return list(chart_lines(way, "In G"))


def test_each_written_bar_stands_once_with_its_numerals() -> None:
    assert lines_of(TUNE) == CHART


def test_each_numeral_stands_under_its_chord() -> None:
    _, above, below, *_ = lines_of(TUNE)
    for name, numeral in (("E7", "V7/ii"), ("Am7", "ii7"), ("D7", "V7 ")):
        assert above.index(name) == below.index(numeral, above.index(name))


@pytest.mark.parametrize("chords", ["C#m7b5 F#7b9 Bm7b5 E7b9", "Dbmaj7 Gbm(maj7) Ab7sus4 Ab7"])
def test_long_bars_are_set_fewer_in_a_row(chords: str) -> None:
    text = TUNE.replace("| G6 | E7 | Am7 D7 | G6 G6 |", f"| {chords} " * 8 + "|")
    lines = lines_of(text)
    assert max(map(len, lines)) <= 80
    heads = [line for line in lines if line[:3].strip().isdigit()]
    assert len(heads) > 3


def test_every_tune_that_ships_fits(tmp_path: Path) -> None:
    for path in sorted((Path(__file__).parents[2] / "data" / "tunes").glob("*.toml")):
        tune = read_tune(path)
        way = reharmonise(tune, Instrument.named("ukulele"), (), k=1)[0]
        assert max(map(len, chart_lines(way, tune.title))) <= 80


def test_a_pick_up_that_completes_an_intro_has_no_number_of_its_own() -> None:
    """Only the first of two bars that make one has the number: common practice, no source."""
    tune = framed("| {1 quarter} C7 | F | Gm7 | C7 | {3 quarters} F |", intro="last four bars")
    (way,) = reharmonise(tune, "ukulele", (), k=1)
    numbers = [line[:5].strip() for line in [*chart_lines(way, "In F", phrases=False)][1::2]]
    assert numbers == ["1", "", "5"]
    assert not any(line.startswith("  4") for line in tune_lines(tune))
