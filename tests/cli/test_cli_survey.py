"""``harmonykit survey``: what is typed, what is told, what is drawn."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
from survey_tables import surveyed

from harmonykit import cli
from harmonykit.arrange.survey.folder import Folder
from harmonykit.arrange.survey.table import best_keys, class_keys, read_survey
from harmonykit.cli.survey import read_instruments, read_levels, to_text, write_plots


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        cli.main(["survey", *arguments])
    return int(left.value.code or 0)


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("survey") / "s"
    wanted = ["--keys", "C,G", "--levels", "1", "--workers", "1", "--plots", "--out", str(out)]
    assert run("heron_landing", "slack_water_waltz", *wanted) == 0
    return out


def test_what_was_asked_is_there(done: Path) -> None:
    table = read_survey(done)
    assert list(table["key"]) == ["C major", "G major"] * 2
    assert set(table["instrument"]) == {"ukulele"} and set(table["level"]) == {1}
    assert sorted(path.name for path in (done / "plots").iterdir()) == [
        "gains-ukulele-level-1.svg",
        "keys-1-heron-landing.svg",
        "keys-2-slack-water-waltz.svg",
        "major-keys-level-1.svg",
        "open-1-heron-landing.svg",
        "open-2-slack-water-waltz.svg",
    ]


def test_it_tells_what_came_out(done: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wanted = ["--keys", "C,G", "--levels", "1", "--workers", "1", "--out", str(done)]
    assert run("heron_landing", "slack_water_waltz", *wanted) == 0
    said, progress = capsys.readouterr()
    assert said.startswith(f"{done}: 2 tunes, 4 rows in survey.csv\n") and progress == ""
    best = best_keys(read_survey(done)).set_index("title")["key"]
    for title in ("Heron Landing", "Slack Water Waltz"):
        (line,) = (line for line in said.split("\n") if line.startswith(title))
        assert line.split()[-2] == best[title].split()[0]


def test_the_text_names_keys_and_fits_a_terminal() -> None:
    table = surveyed()
    text = to_text(table, Path("s"))
    assert max(map(len, text.split("\n"))) <= 80
    together = class_keys(table).set_index("title")["key"]
    for title, key in together.items():
        tonic, mode = key.split()
        (line,) = (line for line in text.split("\n") if line.startswith(str(title)[:20]))
        assert line.endswith(tonic.replace("b", "♭") + ("m" if mode == "minor" else ""))
    many = pd.concat([table.assign(file=f"{n}.toml", title=f"Tune {n}") for n in range(25)])
    assert "and 5 more in survey.csv" in to_text(many[many["written"] == "F major"], Path("s"))
    broken = table.assign(error="no shape")
    told = to_text(broken, Path("s"))
    # Which file, and why, once.
    assert "72 rows without results" in told
    for name in table["file"].unique():
        assert told.count(f"{name}: no shape") == 1


def test_messages_in_a_folder_are_told_as_not_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "kites.txt").write_text("| C | G7 |")
    (tmp_path / "oar.lab").write_text("0 2 C\n2 4 F\n4 6 G:7\n6 8 C\n")
    asked = ("--keys", "C", "--levels", "1", "--workers", "1", "--out", str(tmp_path / "out"))
    assert run(str(tmp_path), *asked) == 0
    said = "".join(capsys.readouterr().out.split())
    assert "Notread:kites.txt." in said and f"survey{tmp_path / 'kites.txt'}..." in said
    assert run(str(tmp_path), str(tmp_path / "kites.txt"), *asked) == 0
    assert "Not read" not in capsys.readouterr().out


def test_a_long_name_of_an_instrument_keeps_off_its_keys() -> None:
    table = surveyed()
    named = table.assign(instrument=table["instrument"].replace("ukulele", "baritone ukulele"))
    rows = re.findall("baritone ukulele, level 1(.)", to_text(named, Path("s")))
    assert " " in rows and not [row for row in rows if row.isalpha()]


def test_a_tune_that_gains_nothing_is_not_among_those_that_gain() -> None:
    table = surveyed()
    assert "Tunes that gain most" in to_text(table, Path("s"))
    none = table.assign(written_mean_movement=table["mean_movement"] + 0.004)
    text = " ".join(to_text(none, Path("s")).split())
    assert "No tune gains" in text and " 0.00 " not in text
    assert max(map(len, to_text(none, Path("s")).split("\n"))) <= 80


def test_in_one_key_alone_no_key_is_the_best(tmp_path: Path) -> None:
    """Each tune stands in a line with its own key, and no figure compares keys."""
    table = surveyed()
    alone = table[table["key"] == table["written"]]
    assert len(alone) == 6
    text = to_text(alone, Path("s"))
    assert "est key" not in text and "each tune in one key only" in text
    first = alone[alone["title"] == alone["title"].iloc[0]]
    (line,) = (line for line in text.split("\n") if line.startswith(first["title"].iloc[0][:20]))
    assert line.split()[-2:] == [f"{value:.1f}" for value in first["written_playability"]]
    write_plots(alone, Folder(tmp_path), "written_playability", lambda done, total: None)
    assert {path.name.split("-")[0] for path in (tmp_path / "plots").iterdir()} == {"gains"}


def test_figures_of_many_instruments_are_parted(tmp_path: Path) -> None:
    table = surveyed()
    more = pd.concat([table.assign(instrument=table["instrument"] + f" {n}") for n in range(3)])
    write_plots(more, Folder(tmp_path), "cost", lambda done, total: None)
    names = {path.name for path in (tmp_path / "plots").iterdir()}
    assert {"major-keys-level-1-1.svg", "major-keys-level-1-2.svg"} <= names
    assert "gains-guitar-2-level-1.svg" in names


def test_what_is_typed() -> None:
    assert read_levels(" 2, 1,2") == (2, 1)
    assert [found.tuning for found in read_instruments("guitar,G3 D4 A4 E5, guitar")] == [
        "E A D G B E",
        "G D A E",
    ]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--keys", "H"], "'H' is not a tonic"),
        (["--levels", "one"], "is not a list of levels"),
        (["--levels", "7"], "unknown level 7"),
        (["--instruments", "bagpipe"], "bagpipe"),
        (["--workers", "0"], "x>=1"),
        (
            ["--by", "fun", "--keys", "C", "--levels", "1", "--workers", "1"],
            "'fun' is not a measure",
        ),
    ],
)
def test_what_cannot_be_used(
    more: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("slack_water_waltz", "--out", str(tmp_path / "s"), *more) == 2
    output, message = capsys.readouterr()
    assert output == "" and said in message and "Traceback" not in message


def test_a_measure_that_is_none_is_told_before_the_work(tmp_path: Path) -> None:
    run("slack_water_waltz", "--out", str(tmp_path / "s"), "--by", "fun")
    assert not (tmp_path / "s").exists()


def test_help_has_an_example_and_loads_no_library() -> None:
    script = (
        "import sys; from harmonykit.cli import main\n"
        "try: main(['survey', '--help'])\n"
        "finally: print(sorted({'numpy', 'pandas', 'distributed'} & set(sys.modules)))"
    )
    said = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout
    assert "harmonykit survey book.abc" in said and said.splitlines()[-1] == "[]"
