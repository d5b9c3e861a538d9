"""The workbook opens on this machine alone, behind a token; what ships in it is trusted."""

from __future__ import annotations

import json
import re
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from lab_in_browser import opened_by_command
from nbformat.sign import NotebookNotary
from waiting import LIMIT

from harmonykit.workbook.copies import copy_notebooks
from harmonykit.workbook.launch import sign


@pytest.fixture(scope="module")
def top(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the workbook, and with what Jupyter keeps."""
    return tmp_path_factory.mktemp("workbook")


@pytest.fixture(scope="module")
def address(top: Path) -> Iterator[str]:
    """The address that the command prints."""
    with opened_by_command(top) as printed:
        yield printed


def status(address: str) -> int:
    try:
        with urllib.request.urlopen(address, timeout=LIMIT) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as refusal:
        refusal.close()
        return refusal.code


def test_the_server_is_on_loopback_and_wants_its_token(address: str, top: Path) -> None:
    assert (top / "mine").is_dir()
    base, token = re.fullmatch(
        r"(http://127\.0\.0\.1:\d+)/lab\S*\?token=(\S{32})", address
    ).groups()
    assert status(f"{base}/api/contents") == 403
    assert status(f"{base}/api/contents?token=wrong") == 403
    assert status(f"{base}/api/contents?token={token}") == 200


# What is trusted.


def signed(data: Path, content: str) -> bool:
    """Ask as JupyterLab asks when it opens a notebook."""
    with NotebookNotary(data_dir=str(data)) as notary:
        return bool(notary.check_signature(nbformat.reads(content, as_version=4)))


def test_what_ships_is_trusted_and_nothing_else(tmp_path: Path) -> None:
    """A figure drawn by somebody else in a shipped notebook is not."""
    shipped, mine = tmp_path / "shipped", tmp_path / "mine"
    shipped.mkdir()
    for name in ("one", "two"):
        cell = nbformat.v4.new_code_cell(f"print('{name}')", id=name)
        nbformat.write(nbformat.v4.new_notebook(cells=[cell]), shipped / f"{name}.ipynb")
    copy_notebooks(mine, shipped)
    changed = (mine / "one.ipynb").read_text().replace("print", "eval")
    (mine / "one.ipynb").write_text(changed)
    own = (mine / "two.ipynb").read_text().replace("two", "own")
    (mine / "own.ipynb").write_text(own)
    copied = copy_notebooks(mine, shipped)
    with NotebookNotary(data_dir=str(tmp_path)) as notary:
        sign((mine / name for name in copied.as_shipped), notary)
    assert signed(tmp_path, (shipped / "two.ipynb").read_text())
    assert not signed(tmp_path, changed)
    assert not signed(tmp_path, own)
    # A notebook that ships and that nobody has a copy of is not signed either.
    assert not signed(tmp_path, (shipped / "one.ipynb").read_text())


def asked(address: str, path: str) -> Any:
    base, token = address.partition("/lab")[0], address.partition("token=")[2]
    with urllib.request.urlopen(f"{base}/{path}?token={token}", timeout=LIMIT) as answer:
        return json.load(answer)


def test_no_question_about_news_and_the_users_own_settings_hold(address: str, top: Path) -> None:
    """The page asks where ``fetchNews`` is ``none``, which is JupyterLab's own default."""
    setting = "lab/api/settings/@jupyterlab/apputils-extension:notification"
    found = asked(address, setting)
    defaults = {key: each["default"] for key, each in found["schema"]["properties"].items()}
    assert (defaults["fetchNews"], defaults["checkForUpdates"]) == ("false", False)
    assert found["raw"] == "{}"
    mine = top / "lab-settings/@jupyterlab/apputils-extension"
    assert not mine.exists()
    mine.mkdir(parents=True)
    (mine / "notification.jupyterlab-settings").write_text('{"fetchNews": "true"}')
    assert asked(address, setting)["settings"]["fetchNews"] == "true"
