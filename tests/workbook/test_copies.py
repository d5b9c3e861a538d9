"""The workbook is the user's copy: written whole, mended if cut short, never written over."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.paths import notebooks_dir
from harmonykit.workbook.copies import copy_notebooks

FIRST = "00_start_here.ipynb"
SHIPPED = {"cells": [{"cell_type": "markdown", "metadata": {}, "source": "# Low water"}]}


@pytest.fixture
def shipped(tmp_path: Path) -> Path:
    folder = tmp_path / "shipped"
    for name in ("00_start_here.ipynb", "parts/tide.csv", ".ipynb_checkpoints/old.ipynb"):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(f"shipped {name}")
    (folder / FIRST).write_text(json.dumps(SHIPPED))
    return folder


def test_everything_is_copied_but_what_jupyter_left_behind(shipped: Path, tmp_path: Path) -> None:
    mine = tmp_path / "deep" / "mine"
    copied = copy_notebooks(mine, shipped)
    assert copied.new == ("00_start_here.ipynb", "parts/tide.csv")
    assert (mine / "parts" / "tide.csv").read_text() == "shipped parts/tide.csv"
    assert not (mine / ".ipynb_checkpoints").exists()


def test_what_the_user_changed_is_never_written_over(shipped: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    copy_notebooks(mine, shipped)
    (mine / FIRST).write_text('{"cells": [], "mine": true}')
    again = copy_notebooks(mine, shipped)
    assert (mine / FIRST).read_text() == '{"cells": [], "mine": true}'
    assert (again.new, again.kept) == ((), ("00_start_here.ipynb",))
    assert list(again.report()) == [f"{mine}: kept yours of 00_start_here.ipynb"]


def test_a_notebook_that_ships_later_joins_the_others(shipped: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    copy_notebooks(mine, shipped)
    (shipped / "02_later.ipynb").write_text("later")
    again = copy_notebooks(mine, shipped)
    assert (again.new, again.kept) == (("02_later.ipynb",), ())


def test_the_shipped_notebooks_themselves_are_refused(shipped: Path) -> None:
    for folder in (shipped, shipped / "parts", notebooks_dir()):
        with pytest.raises(HarmonyError, match="holds the notebooks as shipped"):
            copy_notebooks(folder, notebooks_dir() if folder == notebooks_dir() else shipped)


def test_a_file_in_the_way_is_refused(shipped: Path, tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("a shopping list")
    with pytest.raises(HarmonyError, match="is a file"):
        copy_notebooks(tmp_path / "mine", shipped)


@pytest.mark.parametrize("length", range(len(json.dumps(SHIPPED))))
def test_a_copy_that_was_cut_short_is_mended(shipped: Path, tmp_path: Path, length: int) -> None:
    """As a crash or a full disk leaves it, at every length there is."""
    mine, whole = tmp_path / "mine", (shipped / FIRST).read_bytes()
    mine.mkdir()
    (mine / FIRST).write_bytes(whole[:length])
    copied = copy_notebooks(mine, shipped)
    assert (mine / FIRST).read_bytes() == whole
    assert (copied.mended, copied.aside, copied.kept) == ((FIRST,), (), ())
    assert list(copied.report())[-1] == f"{mine}: copied again {FIRST}, cut short before"
    assert list(copy_notebooks(mine, shipped).report()) == []


@pytest.mark.parametrize(
    "data", [b'{"cells": [1, 2', b"\xff\xfe\x00", b"[]", b"my notes", b"[" * 9999]
)
def test_what_is_not_a_notebook_is_set_aside(shipped: Path, tmp_path: Path, data: bytes) -> None:
    mine = tmp_path / "mine"
    for number in (1, 2):
        mine.mkdir(exist_ok=True)
        (mine / FIRST).write_bytes(data)
        copied = copy_notebooks(mine, shipped)
        other = f"{FIRST}.damaged-{number}"
        assert copied.aside == ((FIRST, other),)
        assert (mine / other).read_bytes() == data
        assert (mine / FIRST).read_bytes() == (shipped / FIRST).read_bytes()
        said = f"{mine}: {FIRST} is not a notebook; kept as {other}, and copied again"
        assert list(copied.report())[-1] == said


def test_of_other_files_only_an_empty_one_is_mended(shipped: Path, tmp_path: Path) -> None:
    """The beginning of a text may be what the user left of it."""
    mine = tmp_path / "mine"
    copy_notebooks(mine, shipped)
    (mine / "parts" / "tide.csv").write_text("shipped")
    assert copy_notebooks(mine, shipped).kept == ("parts/tide.csv",)
    (mine / "parts" / "tide.csv").write_text("")
    assert copy_notebooks(mine, shipped).mended == ("parts/tide.csv",)
    assert (mine / "parts" / "tide.csv").read_text() == "shipped parts/tide.csv"


def test_as_shipped_is_what_has_the_same_bytes(shipped: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    assert copy_notebooks(mine, shipped).as_shipped == (FIRST, "parts/tide.csv")
    (mine / FIRST).write_text((shipped / FIRST).read_text().replace("Low", "High"))
    assert copy_notebooks(mine, shipped).as_shipped == ("parts/tide.csv",)


def test_a_folder_in_the_place_of_a_notebook_is_an_error(shipped: Path, tmp_path: Path) -> None:
    (tmp_path / "mine" / FIRST).mkdir(parents=True)
    with pytest.raises(HarmonyError, match="00_start_here.ipynb cannot be read"):
        copy_notebooks(tmp_path / "mine", shipped)
