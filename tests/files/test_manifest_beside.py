"""What the user has under a name is kept when something of ours takes that name."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.files import manifest
from harmonykit.files.manifest import write_beside


def test_what_differs_is_kept_and_named(tmp_path: Path) -> None:
    path = tmp_path / "numbers.csv"
    assert write_beside(path, "a\n") is None
    assert write_beside(path, "a\n") is None
    kept = write_beside(path, "b\n")
    assert str(kept) == "your numbers.csv is kept as numbers (yours).csv"
    write_beside(path, "c\n")
    names = ["numbers.csv", "numbers (yours).csv", "numbers (yours, 2).csv"]
    assert [(tmp_path / name).read_text() for name in names] == ["c\n", "a\n", "b\n"]
    assert len(os.listdir(tmp_path)) == 3


def test_what_we_wrote_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "x"
    path.write_text("a")
    assert write_beside(path, "b", hashlib.sha256(b"a").hexdigest()) is None
    assert os.listdir(tmp_path) == ["x"] and path.read_text() == "b"


def test_a_write_that_fails_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "x"
    path.write_text("mine")

    def full(*_: object) -> None:
        raise HarmonyError("full")

    monkeypatch.setattr(manifest, "write_whole", full)
    with pytest.raises(HarmonyError, match="full"):
        write_beside(path, "b")
    assert os.listdir(tmp_path) == ["x"] and path.read_text() == "mine"
