"""JupyterLab in a browser, for tests: a server, a notebook run to its end, and its complaints."""

from __future__ import annotations

import os
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import nbformat
from playwright.sync_api import Browser, Page, expect

SETTINGS = '{"fetchNews": "false", "checkForUpdates": false}'


@dataclass(frozen=True)
class Lab:
    """A JupyterLab that runs: where it listens, its token, its folder."""

    address: str
    token: str
    folder: Path


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def environment(top: Path, root: Path) -> dict[str, str]:
    folders = {name: top / name.lower() for name in ("CONFIG", "DATA", "RUNTIME")}
    labs = {name: top / f"lab-{name.lower()}" for name in ("SETTINGS", "WORKSPACES")}
    news = labs["SETTINGS"] / "@jupyterlab" / "apputils-extension"
    news.mkdir(parents=True)
    (news / "notification.jupyterlab-settings").write_text(SETTINGS)
    # Every cell stays on the page, also those that are scrolled out of sight.
    notebook = labs["SETTINGS"] / "@jupyterlab" / "notebook-extension"
    notebook.mkdir(parents=True)
    (notebook / "tracker.jupyterlab-settings").write_text('{"windowingMode": "none"}')
    made = {f"JUPYTER_{name}_DIR": str(folder) for name, folder in folders.items()}
    made |= {f"JUPYTERLAB_{name}_DIR": str(folder) for name, folder in labs.items()}
    return {**os.environ, **made, "PYTHONPATH": str(root)}


def wait_for(address: str, server: subprocess.Popen[bytes], seconds: float = 40) -> None:
    deadline = time.monotonic() + seconds
    while True:
        try:
            with urllib.request.urlopen(address, timeout=2):
                return
        except OSError:
            assert server.poll() is None and time.monotonic() < deadline, "JupyterLab did not start"
            time.sleep(0.2)


@contextmanager
def running(top: Path, root: Path) -> Iterator[Lab]:
    """Run JupyterLab in a folder, with nothing of the user's own."""
    folder, port, token = top / "notebooks", free_port(), secrets.token_hex(12)
    folder.mkdir()
    options = [
        "--no-browser",
        "--ip=127.0.0.1",
        f"--port={port}",
        "--ServerApp.port_retries=0",
        f"--IdentityProvider.token={token}",
        f"--ServerApp.root_dir={folder}",
        "--allow-root",
    ]
    with (top / "log").open("w") as log:
        server = subprocess.Popen(
            [sys.executable, "-m", "jupyterlab", *options],
            env=environment(top, root),
            stdout=log,
            stderr=subprocess.STDOUT,
        )
        try:
            wait_for(f"http://127.0.0.1:{port}/api?token={token}", server)
            yield Lab(f"http://127.0.0.1:{port}", token, folder)
        finally:
            server.terminate()
            server.wait(timeout=20)
            shutil.rmtree(top, ignore_errors=True)


@dataclass
class Bench:
    """A notebook in a tab, run to its end, with all that the tab complained of."""

    page: Page
    complaints: list[str] = field(default_factory=list)

    @property
    def panels(self) -> Any:
        return self.page.locator(".harmonykit-panel")

    def healthy(self) -> None:
        assert self.complaints == []


def write_notebook(path: Path, *cells: str) -> None:
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(c) for c in cells])
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3"}
    nbformat.write(notebook, path)


def open_notebook(browser: Browser, lab: Lab, name: str) -> Bench:
    """Open a notebook, run all its cells, and wait until the last of them has printed ``ready``."""
    page = browser.new_context(viewport={"width": 1280, "height": 1600}).new_page()
    bench = Bench(page)

    def note_error(message: Any) -> None:
        if message.type == "error":
            bench.complaints.append(message.text)

    page.on("console", note_error)
    page.on("pageerror", lambda error: bench.complaints.append(str(error)))
    page.on("requestfailed", lambda request: bench.complaints.append(failure(request)))
    page.goto(f"{lab.address}/lab/tree/{name}?reset&token={lab.token}")
    page.wait_for_selector(".jp-Notebook")
    expect(page.locator("#jp-main-statusbar")).to_contain_text("| Idle", timeout=30_000)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
    expect(page.locator(".jp-OutputArea-output pre", has_text="ready")).to_be_visible(
        timeout=60_000
    )
    bench.complaints = [each for each in bench.complaints if each]
    return bench


def failure(request: Any) -> str:
    """Name a request that failed; one that the page itself gave up is none."""
    return "" if request.failure == "net::ERR_ABORTED" else f"{request.url}: {request.failure}"
