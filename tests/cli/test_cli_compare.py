"""What ``harmonykit compare`` prints and writes."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from harmonykit import cli
from harmonykit.arrange.moves import MOVES
from harmonykit.cli.compare import AS_WRITTEN, BEST_OF_ALL, read_and_compare
from harmonykit.fretboard.instrument import Instrument
from harmonykit.tune.tune import Tune

TUNE = '''
format = 1
title = "Two Rooms"
key = "C"
meter = "4/4"
tempo = 80
form = ["A"]

[[sections]]
name = "A"
changes = """
| C6 | Dm7 | G7 | C6 |
"""
'''


@pytest.fixture
def path(tmp_path: Path) -> Path:
    file = tmp_path / "two_rooms.toml"
    file.write_text(TUNE, encoding="utf-8")
    return file


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", *arguments])
    assert left.value.code == 0
    return capsys.readouterr().out


def test_each_move_stands_beside_the_tune_as_written(path: Path) -> None:
    _, table = read_and_compare(Tune.read(path), Instrument.named("ukulele"))
    assert list(table.index) == [AS_WRITTEN, *MOVES, *BEST_OF_ALL]
    inserted = table["inserted (chords)"]
    assert inserted[AS_WRITTEN] == 0
    assert all(inserted[move] > 0 for move in MOVES)


def test_the_chords_put_in_are_named_with_their_bars(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # By hand: of C6 | Dm7 | G7 | C6 the approach from below to Dm7 is C#°7, to G7 F#°7, and
    # each stands at the end of the bar before its target; B°7 is G7b9 without its root.
    text = answer(capsys, str(path))
    assert "approach: C♯°7 (bar 1), F♯°7 (bar 2)" in text
    assert "dominant to diminished: B°7 (bar 3)" in text
    assert "Two Rooms on the ukulele, g C E A; 4 bars, 80 a minute" in text


@pytest.mark.parametrize("instrument", ["ukulele", "guitar", "G3 D4 A4 E5"])
@pytest.mark.parametrize("tune", ["net_loft_shuffle", "slack_water_waltz"])
def test_it_fits_a_terminal(tune: str, instrument: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, tune, "--instrument", instrument)
    assert max(map(len, text.splitlines())) <= 80


def test_the_file_holds_what_is_printed(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = answer(capsys, str(path), "--csv", str(tmp_path / "numbers.csv"))
    with (tmp_path / "numbers.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["arrangement"] for row in rows] == [AS_WRITTEN, *MOVES, *BEST_OF_ALL]
    for name in list(rows[0])[1:]:
        (line,) = (line for line in text.splitlines() if line.startswith(name))
        shown = map(float, line.removeprefix(name).split())
        assert [float(row[name]) for row in rows] == pytest.approx(list(shown), abs=0.051)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["net_loft_shufle"], "try: net_loft_shuffle"),
        (["net_loft_shuffle", "--instrument", "kazoo"], "no instrument is called 'kazoo'"),
    ],
)
def test_what_cannot_be_used_gets_one_message(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", *arguments])
    assert left.value.code == 2
    assert said in capsys.readouterr().err
