"""The files that ship are found in a checkout, and inside an installed package."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit import paths
from harmonykit.errors import HarmonyError


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Lay out a package as a wheel does, beside folders that other packages left there."""
    package = tmp_path / "site-packages" / "harmonykit"
    for name in ("data/tunes", "shared", "notebooks"):
        (package / f"_{name}").mkdir(parents=True)
        (package.parent / name).mkdir(parents=True)
    (package / "_data" / "tunes" / "low_tide.toml").write_text("")
    monkeypatch.setattr(paths, "_PACKAGE", package)
    return package


def test_a_checkout_uses_its_own_folders(root: Path) -> None:
    assert paths.data_dir() == root / "data"
    assert paths.shared_dir() == root / "shared"
    assert paths.notebooks_dir() == root / "notebooks"


def test_a_wheel_uses_the_copies_inside_it(installed: Path) -> None:
    assert paths.data_dir() == installed / "_data"
    assert paths.shared_dir() == installed / "_shared"
    assert paths.notebooks_dir() == installed / "_notebooks"


def test_a_broken_installation_is_told(installed: Path) -> None:
    (installed / "_shared").rename(installed / "gone")
    with pytest.raises(HarmonyError, match="'shared' of harmonykit is missing"):
        paths.shared_dir()


@pytest.mark.parametrize("name", ["low_tide", "low_tide.toml", Path("low_tide")])
def test_a_bare_name_is_a_shipped_file(installed: Path, name: str | Path) -> None:
    assert paths.find_data("tunes", name) == installed / "_data" / "tunes" / "low_tide.toml"


def test_a_file_of_the_user_comes_first(
    installed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("low_tide.toml").write_text("")
    assert paths.find_data("tunes", "low_tide.toml") == Path("low_tide.toml")
    assert paths.find_data("tunes", tmp_path / "low_tide.toml") == tmp_path / "low_tide.toml"


def test_a_folder_of_that_name_does_not_hide_the_shipped_file(
    installed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("low_tide").mkdir()
    assert paths.find_data("tunes", "low_tide").parent == installed / "_data" / "tunes"


def test_a_misspelt_name_is_told_the_nearest(installed: Path) -> None:
    with pytest.raises(HarmonyError) as caught:
        paths.find_data("tunes", "low_tyde")
    assert "missing file 'low_tyde'" in str(caught.value)
    assert caught.value.mend == "low_tide"


def test_a_mistyped_file_of_the_users_is_told_the_nearest(installed: Path, tmp_path: Path) -> None:
    (tmp_path / "kites.musicxml").write_text("", encoding="utf-8")
    with pytest.raises(HarmonyError, match="missing file") as caught:
        paths.find_data("tunes", tmp_path / "kits.musicxml")
    assert caught.value.mend == str(tmp_path / "kites.musicxml")


def test_the_nearest_is_of_the_same_kind_and_no_page(installed: Path, tmp_path: Path) -> None:
    for name in ("kites.musicxml", "kites.pdf", "kites.toml"):
        (tmp_path / name).write_text("", encoding="utf-8")
    near = {"kits.musicxml": "kites.musicxml", "kits.pdf": "kites.pdf", "kits.abc": "kites.toml"}
    for typed, meant in near.items():
        with pytest.raises(HarmonyError) as caught:
            paths.find_data("tunes", tmp_path / typed)
        assert caught.value.mend == str(tmp_path / meant)
    (tmp_path / "kites.toml").unlink()
    (tmp_path / "kites.musicxml").unlink()
    with pytest.raises(HarmonyError) as caught:
        paths.find_data("tunes", tmp_path / "kits.abc")
    assert not caught.value.mend


@pytest.mark.parametrize("name", ["elsewhere/low_tide", "../tunes/low_tide.toml", "", "."])
def test_a_path_is_never_looked_up_among_what_ships(installed: Path, name: str) -> None:
    with pytest.raises(
        HarmonyError, match=r"missing file|is a folder|the name of the tune is missing"
    ):
        paths.find_data("tunes", name)
