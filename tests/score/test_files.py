"""Tunes in files: which reader, whole or not at all."""

from __future__ import annotations

import pytest

from harmonykit.score import files
from harmonykit.score.files import read_tune, write_tune
from harmonykit.tune.bar import TuneError
from harmonykit.tune.tune import Tune

TEXT = """format = 1
title = "Trial"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| C6 |"
"""


def test_a_tune_that_is_written_reads_back(tmp_path):
    tune = Tune.parse(TEXT)
    write_tune(tune, tmp_path / "out.toml")
    assert read_tune(tmp_path / "out.toml") == tune
    assert read_tune(str(tmp_path / "out.toml")) == tune
    assert [path.name for path in tmp_path.iterdir()] == ["out.toml"]


def test_a_failed_write_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "out.toml"
    path.write_text("old", encoding="utf-8")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("harmonykit.files.whole.os.replace", full)
    with pytest.raises(TuneError, match="the disk is full"):
        write_tune(Tune.parse(TEXT), path)
    assert [(p.name, p.read_text(encoding="utf-8")) for p in tmp_path.iterdir()] == [
        ("out.toml", "old")
    ]


@pytest.mark.parametrize("name", ["out.pdf", "out.abc", "out"])
def test_other_suffixes_are_not_written(tmp_path, name):
    with pytest.raises(TuneError, match=r"written as \.toml"):
        write_tune(Tune.parse(TEXT), tmp_path / name)


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(TuneError, match="cannot be written"):
        write_tune(Tune.parse(TEXT), tmp_path / "no" / "out.toml")


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("missing.toml", "missing file"),
        ("tune.pdf", "not a kind of file"),
        ("tune", "not a kind of file"),
    ],
)
def test_what_cannot_be_read_is_said(tmp_path, name, message):
    with pytest.raises(TuneError, match=message):
        read_tune(tmp_path / name)


def test_a_folder_is_no_file(tmp_path):
    (tmp_path / "x.toml").mkdir()
    with pytest.raises(TuneError, match="cannot be read"):
        read_tune(tmp_path / "x.toml")


def test_a_file_that_is_too_large_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "x.toml"
    path.write_text(TEXT, encoding="utf-8")
    monkeypatch.setattr(files, "MOST_BYTES", 20)
    with pytest.raises(TuneError, match="too large"):
        read_tune(path)


def test_bytes_that_are_no_utf_8_have_a_line_and_a_column(tmp_path):
    path = tmp_path / "x.toml"
    path.write_bytes(TEXT.replace("Trial", "Tr\u00efal").encode("latin-1"))
    with pytest.raises(TuneError, match="not UTF-8") as caught:
        read_tune(path)
    assert (caught.value.place.line, caught.value.place.column) == (2, 12)


def test_a_text_form_holds_one_tune(tmp_path):
    path = tmp_path / "x.toml"
    path.write_text(TEXT, encoding="utf-8")
    with pytest.raises(TuneError, match="holds one tune"):
        read_tune(path, number=2)
