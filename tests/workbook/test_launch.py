"""The workbook opens on this machine alone, behind a token; what ships in it is trusted."""

from __future__ import annotations

import json
import logging
import re
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from jupyter_client.manager import KernelManager
from lab_in_browser import opened_by_command
from nbformat.sign import NotebookNotary
from tornado import websocket
from waiting import LIMIT

from harmonykit.errors import HarmonyError
from harmonykit.paths import notebooks_dir
from harmonykit.workbook.launch import (
    copy_notebooks,
    first_page,
    hush,
    lab_options,
    sign,
)


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
    assert list(again.report()) == [f"{mine}: kept your own 00_start_here.ipynb"]


def test_a_notebook_that_ships_later_joins_the_others(shipped: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    copy_notebooks(mine, shipped)
    (shipped / "02_later.ipynb").write_text("later")
    again = copy_notebooks(mine, shipped)
    assert (again.new, again.kept) == (("02_later.ipynb",), ())


def test_the_shipped_notebooks_themselves_are_refused(shipped: Path) -> None:
    for folder in (shipped, shipped / "parts", notebooks_dir()):
        with pytest.raises(HarmonyError, match="holds the notebooks that come with harmonykit"):
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
    assert list(copied.report())[-1] == f"{mine}: copied {FIRST} again: the copy was incomplete"
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


def test_the_first_page_comes_first_and_later_what_was_open(shipped: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    assert first_page(mine) == "/lab"
    said = list(copy_notebooks(mine, shipped).report())
    assert len(said) == 1 and said[0].startswith(f"{mine}: copied ")
    assert first_page(mine) == f"/lab/tree/{FIRST}"
    kept = dict(each.split("=", 1) for each in lab_options(mine, 1, browser=False, token="t"))
    tabs = Path(kept["--LabApp.workspaces_dir"])
    # Of this folder alone: another workbook has its own.
    assert tabs.parent == mine.resolve() and not tabs.exists()
    tabs.mkdir()
    (tabs / "default.jupyterlab-workspace").write_text('{"data": {"widgets": []}}')
    assert first_page(mine) == f"/lab/tree/{FIRST}"
    (tabs / "default.jupyterlab-workspace").write_text('{"widgets": ["notebook:05_a.ipynb"]}')
    assert first_page(mine) == "/lab"


def test_a_kernel_starts_without_a_warning_in_the_terminal(tmp_path: Path) -> None:
    """One that speaks in the clear warns of eavesdropping, once for each notebook."""
    kept = dict(each.split("=", 1) for each in lab_options(tmp_path, 1, browser=False, token="t"))
    manager = KernelManager(transport_encryption=kept["--KernelManager.transport_encryption"])
    with (tmp_path / "said.txt").open("w+") as said:
        manager.start_kernel(stderr=said)
        client = manager.client()
        client.start_channels()
        client.wait_for_ready(timeout=LIMIT)
        client.stop_channels()
        manager.shutdown_kernel(now=True)
        said.seek(0)
        assert said.read() == ""


def test_a_tab_opens_without_a_warning_in_the_terminal(caplog: pytest.LogCaptureFixture) -> None:
    """Jupyter Server's waits, handed to Tornado as they are, make it warn; other warnings stay."""
    params = websocket._WebSocketParams(ping_interval=30_000, ping_timeout=90_000)
    handler = websocket.WebSocketHandler.__new__(websocket.WebSocketHandler)
    protocol = websocket.WebSocketProtocol13(handler, False, params)
    websocket.de_dupe_gen_log.cache_clear()
    assert protocol.ping_timeout == 30_000 and "ping_timeout" in caplog.text
    caplog.clear()
    hush(logging.getLogger("ServerApp"))
    websocket.de_dupe_gen_log.cache_clear()
    assert protocol.ping_timeout == 30_000
    server = logging.getLogger("ServerApp")
    server.warning("%s doesn't exist", "/home/ada/.~07_set_class.ipynb")
    server.warning(
        "404 GET /api/kernels/72615f09/channels (127.0.0.1): Kernel does not exist: 7261"
    )
    server.warning("wrote error: %r", "Kernel does not exist: 72615f09")
    for log, trouble in (
        (logging.getLogger("tornado.general"), "taken"),
        (server, "no.ipynb doesn't exist"),
    ):
        log.warning(trouble)
    assert caplog.messages == ["taken", "no.ipynb doesn't exist"]
