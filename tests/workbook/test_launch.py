"""The workbook opens on a copy that is the user's, on this machine alone, behind a token."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.paths import notebooks_dir
from harmonykit.workbook.launch import copy_notebooks


@pytest.fixture
def shipped(tmp_path: Path) -> Path:
    folder = tmp_path / "shipped"
    for name in ("00_start_here.ipynb", "parts/tide.csv", ".ipynb_checkpoints/old.ipynb"):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(f"shipped {name}")
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
    (mine / "00_start_here.ipynb").write_text("my notes")
    again = copy_notebooks(mine, shipped)
    assert (mine / "00_start_here.ipynb").read_text() == "my notes"
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


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """Run the command as a user does and give the address that it prints."""
    private = {
        f"JUPYTER_{kind}_DIR": str(tmp_path / kind) for kind in ("CONFIG", "DATA", "RUNTIME")
    }
    command = ["-m", "harmonykit", "workbook", "--folder", str(tmp_path / "mine"), "--no-browser"]
    server = subprocess.Popen(
        [sys.executable, *command, "--port", "8917"],
        env={**os.environ, **private},
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert server.stdout is not None
    with server:
        try:
            printed = (re.search(r"http://\S+", line) for line in server.stdout)
            yield next(found.group() for found in printed if found)
        finally:
            server.terminate()


def status(address: str) -> int:
    try:
        with urllib.request.urlopen(address, timeout=30) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as refusal:
        refusal.close()
        return refusal.code


def test_the_server_is_on_loopback_and_wants_its_token(address: str, tmp_path: Path) -> None:
    assert (tmp_path / "mine").is_dir()
    base, token = re.fullmatch(
        r"(http://127\.0\.0\.1:\d+)/lab\S*\?token=(\S{32})", address
    ).groups()
    assert status(f"{base}/api/contents") == 403
    assert status(f"{base}/api/contents?token=wrong") == 403
    assert status(f"{base}/api/contents?token={token}") == 200
