"""A survey's folder: parts written whole, the table made of them, and nobody else's folder."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from harmonykit.arrange.survey.cells import COLUMNS, empty_row
from harmonykit.arrange.survey.folder import HEAD, Folder, opened, read_manifest
from harmonykit.arrange.survey.table import read_table
from harmonykit.errors import HarmonyError


def test_a_part_comes_back_as_it_was(tmp_path: Path) -> None:
    folder = Folder(tmp_path / "s")
    row = empty_row('Two "Buoys", lit', "") | {
        "cost": 7,
        "mean_movement": 0.1,
        "least_seconds": 1e300,
    }
    assert not folder.has("a")
    folder.put("a", [row, empty_row("ebb\udce9", "it broke")])
    assert folder.has("a")
    first, second = [dict(zip(COLUMNS, line, strict=True)) for line in folder.rows("a")]
    assert first["title"] == 'Two "Buoys", lit' and first["cost"] == "7"
    assert (first["mean_movement"], first["least_seconds"], first["past"]) == ("0.1", "1e+300", "")
    assert second["title"].startswith("ebb") and second["error"] == "it broke"
    folder.drop("a")
    folder.drop("a")
    assert not folder.has("a")


def test_the_table_and_the_manifest(tmp_path: Path) -> None:
    folder = Folder(tmp_path / "s")
    folder.begin({"tunes": 2})
    assert read_manifest(folder.path)["finished"] is False
    lines = [["a.toml", "", *[""] * len(COLUMNS)], ["b.abc", "3", *[""] * (len(COLUMNS) - 1), "no"]]
    folder.finish({"tunes": 2}, lines)
    manifest = read_manifest(folder.path)
    assert (manifest["rows"], manifest["errors"], manifest["finished"]) == (2, 1, True)
    with (folder.path / "survey.csv").open(newline="") as file:
        assert list(csv.reader(file)) == [list(HEAD), *lines]


def test_what_the_user_edited_is_kept_and_named(tmp_path: Path) -> None:
    folder = Folder(tmp_path / "s")
    folder.put("a", [empty_row("Ebb", "")])
    folder.put("b", [empty_row("Tide", "")])
    lines = [["a.toml", "", *[""] * len(COLUMNS)]]
    folder.finish({}, lines)
    folder.add([("plots/map.svg", "<svg/>")])
    files = json.loads((folder.path / "manifest.json").read_text())["files"]
    assert {"survey.csv", "parts/a.csv", "parts/b.csv", "plots/map.svg"} <= set(files)
    for name in ("survey.csv", "parts/a.csv", "plots/map.svg"):
        with (folder.path / name).open("a") as file:
            file.write("mine")
    (folder.path / "notes.txt").write_text("mine")
    again = Folder(folder.path)
    # A part that was edited is done anew, one that was not is still there.
    assert not again.has("a") and again.has("b")
    again.finish({}, lines)
    again.add([("plots/map.svg", "<svg/>")])
    assert sorted(each.name for each in again.kept) == [
        "parts/a (yours).csv", "plots/map (yours).svg", "survey (yours).csv",
    ]  # fmt: skip
    for each in again.kept:
        assert (folder.path / each.name).read_text().endswith("mine")
    assert (folder.path / "notes.txt").read_text() == "mine"
    assert not Folder(folder.path).kept


def test_a_title_that_a_spreadsheet_would_run(tmp_path: Path) -> None:
    folder = Folder(tmp_path / "s")
    title = '=HYPERLINK("x")'
    folder.put("a", [empty_row(title, "") | {"mean_movement": -0.5}])
    (row,) = folder.rows("a")
    found = dict(zip(COLUMNS, row, strict=True))
    assert (found["title"], found["mean_movement"]) == (title, "-0.5")
    folder.finish({}, [["+a.toml", "", *row]])
    table = read_table(folder.path / "survey.csv")
    assert (table["title"][0], table["file"][0]) == (title, "+a.toml")
    text = (folder.path / "survey.csv").read_text()
    assert "\n'+a.toml,," in text and "\"'=HYPER" in text and ",-0.5," in text


def test_two_surveys_in_one_folder_do_not_mix(tmp_path: Path) -> None:
    with opened(tmp_path / "deep" / "s"):
        with (
            pytest.raises(HarmonyError, match="being written by another"),
            opened(tmp_path / "deep" / "s"),
        ):
            pass
        with opened(tmp_path / "deep" / "other"):
            pass


def test_what_a_killed_survey_was_writing_is_removed(tmp_path: Path) -> None:
    folder = Folder(tmp_path / "s")
    folder.begin({})
    half = folder.parts / ".abc.csv.123.part"
    half.write_text("tit")
    assert not Folder(tmp_path / "s").has("abc") and not half.exists()


@pytest.mark.parametrize(
    ("name", "said"), [("poem.txt", "something other than a survey"), ("manifest.json", "a lesson")]
)
def test_a_folder_that_is_not_ours_is_left_alone(tmp_path: Path, name: str, said: str) -> None:
    # A lesson's manifest is ours too, but of another kind.
    (tmp_path / name).write_text(json.dumps({"made_by": "harmonykit", "kind": "lesson"}))
    with pytest.raises(HarmonyError, match=f"holds {said}"):
        Folder(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == [name]
    with pytest.raises(HarmonyError, match="is not a folder"):
        Folder(tmp_path / name)


def test_an_empty_folder_will_do(tmp_path: Path) -> None:
    Folder(tmp_path)
    assert (tmp_path / "parts").is_dir()


def test_a_broken_part_is_told(tmp_path: Path) -> None:
    folder = Folder(tmp_path / "s")
    for text in ("title,key\n", ",".join(COLUMNS) + "\na,b\n", ""):
        (folder.parts / "a.csv").write_text(text)
        with pytest.raises(HarmonyError, match=r"a\.csv is broken"):
            folder.rows("a")


def test_a_folder_without_manifest_tells_nothing(tmp_path: Path) -> None:
    assert read_manifest(tmp_path) == {}
    (tmp_path / "manifest.json").write_text("[1]")
    assert read_manifest(tmp_path) == {}
    (tmp_path / "manifest.json").write_text("{")
    assert read_manifest(tmp_path) == {}
