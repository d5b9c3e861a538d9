"""Which tunes there are in files and folders, and what each is known by."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from harmonykit.arrange.survey.sources import find_sources, one_line
from harmonykit.errors import HarmonyError, Place
from harmonykit.paths import find_data
from harmonykit.score.abc_lines import split_tunes
from harmonykit.score.files import tune_from

BOOK = 'T:The Quay Book\n\nX:1\nT:Bollard\nK:C\n"C"C4|"G7"D4|\n\nX:9\nT:Ébb\nK:F\n"F"F4|\n'
WALTZ = find_data("tunes", "slack_water_waltz")


def test_files_folders_and_names_each_once(tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    for name in ("z.toml", "b/a.toml", "a.TOML"):
        shutil.copy(WALTZ, tmp_path / name)
    for name in ("README.md", "b/notes.txt"):
        (tmp_path / name).write_text("no tune")
    found = find_sources([tmp_path / "z.toml", tmp_path, "heron_landing", WALTZ])
    names = [os.path.relpath(source.path, tmp_path) for source in found[:3]]
    assert names == ["z.toml", "a.TOML", os.path.join("b", "a.toml")]
    assert [source.path.name for source in found[3:]] == [
        "heron_landing.toml",
        "slack_water_waltz.toml",
    ]


def test_a_collection_is_its_tunes(tmp_path: Path) -> None:
    path = tmp_path / "book.abc"
    path.write_text(BOOK, encoding="utf-8")
    one, nine = find_sources([path])
    assert [(s.place, s.number, s.title) for s in (one, nine)] == [(0, 1, "Bollard"), (1, 9, "Ébb")]
    assert [s.data().decode() for s in (one, nine)] == [t.text for t in split_tunes(BOOK)]
    assert tune_from("book.abc", nine.data()).title == "Ébb"


def test_two_tunes_of_one_number_are_both_there(tmp_path: Path) -> None:
    path = tmp_path / "book.abc"
    path.write_text(BOOK.replace("X:9", "X:1"))
    assert [tune_from("book.abc", s.data()).title for s in find_sources([path])] == [
        "Bollard",
        "Ébb",
    ]


def test_the_digest_is_of_the_tunes_own_bytes_and_the_name(tmp_path: Path) -> None:
    path, other = tmp_path / "book.abc", tmp_path / "other.abc"
    path.write_text(BOOK, encoding="utf-8")
    before = find_sources([path])
    path.write_text(BOOK.replace("F4", "G4"), encoding="utf-8")
    find_sources([WALTZ])
    after = find_sources([path])
    assert before[0].digest == after[0].digest and before[1].digest != after[1].digest
    other.write_bytes(path.read_bytes())
    assert find_sources([other])[0].digest != after[0].digest


def test_a_file_that_changes_meanwhile_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "tune.toml"
    shutil.copy(WALTZ, path)
    (source,) = find_sources([path])
    path.write_text("other")
    find_sources([WALTZ])
    with pytest.raises(HarmonyError, match="changed while the survey ran"):
        source.data()


def test_what_cannot_be_opened_is_there_with_its_error(tmp_path: Path) -> None:
    (tmp_path / "huge.toml").write_bytes(b"#" * 4_000_001)
    (tmp_path / "gone.abc").symlink_to(tmp_path / "nothing")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.abc")
    found = {source.path.name: source.error for source in find_sources([tmp_path])}
    assert "is too large; 4,000,000 bytes at most" in found["huge.toml"]
    assert "missing file" in found["gone.abc"]
    assert "is not a file" in found.get("pipe.abc", "is not a file")


def test_a_path_that_is_not_there_is_told_at_once() -> None:
    with pytest.raises(HarmonyError, match="slack_water"):
        find_sources(["slack_water_walz"])


def test_an_error_on_one_line() -> None:
    error = HarmonyError("a\nb", place=Place("x.abc", 3, 1, "text"), rule="c", mend="d")
    assert one_line(error) == "a b (x.abc, line 3, column 1); c"
