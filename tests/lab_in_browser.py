"""JupyterLab in a browser, for tests: a server, a notebook run to its end, and its complaints."""

from __future__ import annotations

import os
import re
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import urllib.request
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Error, Locator, Page, expect
from waiting import LIMIT, until

# Ends its process once that which started it is gone, as after a run that was killed: only that
# holds the other end of what comes in.  Nothing to read yet (None) is not the end.
NOT_ALONE = """
import faulthandler, os, select, signal, sys, threading
faulthandler.register(signal.SIGUSR2)
def end():
    while sys.stdin.buffer.raw.read(1) != b"":
        select.select([sys.stdin], [], [])
    print("the other end of what comes in was closed", file=sys.stderr, flush=True)
    os.kill(os.getpid(), signal.SIGTERM)
threading.Thread(target=end, daemon=True).start()
"""
# JupyterLab as the launcher starts it.
LAB = NOT_ALONE + (
    "from harmonykit.workbook.launch import spare_grammar; spare_grammar()\n"
    "from jupyterlab.labapp import main; main()"
)
SETTINGS = '{"fetchNews": "false", "checkForUpdates": false}'
SCREENS = ({"width": 1024, "height": 768}, {"width": 1366, "height": 768})

WINDOW = {"width": 1280, "height": 1600}
# To load JupyterLab takes a page as long as most tests of it: who leaves it hands it on.  It shows
# no notebook then, and looks as a new one to who opens the next.
_IDLE: list[tuple[Lab, Page]] = []
CLEARED = """
() => {
  for (const one of [...window.jupyterapp.shell.widgets("main")]) one.dispose();
  window.jupyterapp.shell.expandLeft();
  document.body.dataset.jpThemeLight = "true";
}
"""
# JupyterLab has come up, which on rare days it does not until the page is loaded again.
UP = "() => window.jupyterapp?.restored?.then(() => true)"
PATIENCE = (LIMIT / 4, LIMIT / 4, LIMIT)
OPENED = """
async (path) => {
  const opened = await window.jupyterapp.commands.execute("docmanager:open", { path });
  await Promise.all([opened.context.ready, opened.sessionContext.ready]);
}
"""

# What of the outputs of a notebook is wider than the place that is left for it.
CUT_OFF = """
(selector) => {
  const name = (one) => one.tagName.toLowerCase() + " " + (one.getAttribute("class") ?? "") + " " +
    (one.getAttribute("data-part") ?? one.getAttribute("data-control") ?? one.textContent).slice(0, 40);
  const all = [...document.querySelectorAll(`.jp-OutputArea-output :is(${selector})`)];
  return all.filter((one) => {
    const box = one.getBoundingClientRect();
    if (!box.width || getComputedStyle(one).visibility === "hidden") return false;
    for (let outer = one.parentElement; outer && !outer.matches(".jp-Cell"); outer = outer.parentElement) {
      const edge = outer.getBoundingClientRect();
      const clips = getComputedStyle(outer).overflowX !== "visible";
      const right = outer instanceof SVGElement ? edge.right : edge.left + outer.clientLeft + outer.clientWidth;
      if (clips && (box.right > right + 1 || box.left < edge.left - 1)) return true;
    }
    return false;
  }).map(name);
}
"""  # noqa: E501


@dataclass(eq=False)
class Lab:
    """A JupyterLab that runs: where it listens, its token, its folder; begun anew if it ends."""

    top: Path
    variables: dict[str, str]
    token: str = field(default_factory=lambda: secrets.token_hex(12))
    port: int = 0
    server: subprocess.Popen[bytes] | None = None

    @property
    def folder(self) -> Path:
        return self.top / "notebooks"

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def new_folder(self, name: str) -> Path:
        """Make a folder for one opening of a notebook; a kernel in an older one goes on there."""
        names = (f"{name}-{number}" for number in count(1))
        folder = next(path for path in map(self.folder.joinpath, names) if not path.exists())
        folder.mkdir()
        return folder

    def runs(self) -> bool:
        """Whether this server, and no other on its port, answers to its token."""
        alive = self.server is not None and self.server.poll() is None
        return alive and answers(f"{self.address}/api/status?token={self.token}")

    def begin(self) -> None:
        """Start the server on a port of its own, and wait until it answers."""
        self.port = free_port()
        options = [
            "--no-browser",
            "--ip=127.0.0.1",
            f"--port={self.port}",
            "--ServerApp.port_retries=0",
            "--LabApp.expose_app_in_browser=True",
            f"--IdentityProvider.token={self.token}",
            f"--ServerApp.root_dir={self.folder}",
            "--allow-root",
        ]
        with (self.top / "log").open("w") as log:
            self.server = subprocess.Popen(
                [sys.executable, "-c", LAB, *options],
                env=self.variables,
                stdin=subprocess.PIPE,
                stdout=log,
                stderr=subprocess.STDOUT,
            )
        ended = self.server.poll
        until(lambda: ended() is not None or self.runs(), "JupyterLab answers")
        assert ended() is None, (self.top / "log").read_text()

    def end(self, patience: float = LIMIT / 4) -> None:
        """End the server; one that does not end when asked to is killed, and that is told."""
        if self.server is None:
            return
        self.server.terminate()
        try:
            self.server.wait(timeout=patience)
        except subprocess.TimeoutExpired:
            self.server.send_signal(signal.SIGUSR2)
            with suppress(subprocess.TimeoutExpired):
                self.server.wait(timeout=patience / 8)
            self.server.kill()
            self.server.wait(timeout=LIMIT)
            self.warn("JupyterLab did not end when asked to, and was killed")
        assert self.server.stdin is not None
        self.server.stdin.close()

    def warn(self, what: str) -> None:
        """Say at the end of the run what became of the server: no error of what is tested."""
        said = (self.top / "log").read_text()[-4000:]
        with warnings.catch_warnings(action="always"):
            warnings.warn(f"{what}\n{said}", stacklevel=3)

    def mend(self) -> None:
        """Begin the server anew where it does not answer."""
        if not self.runs():
            self.begin_anew("it did not answer")

    def begin_anew(self, why: object) -> None:
        """Begin the server anew, and say at the end of the run what became of it."""
        status = self.server and self.server.poll()
        self.warn(f"JupyterLab begun anew ({status}): {why}")
        self.end()
        self.begin()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def private(top: Path) -> dict[str, str]:
    """Return variables that keep Jupyter within a folder, away from what is the user's."""
    folders = {f"JUPYTER_{name}_DIR": top / name.lower() for name in ("CONFIG", "DATA", "RUNTIME")}
    labs = {f"JUPYTERLAB_{n}_DIR": top / f"lab-{n.lower()}" for n in ("SETTINGS", "WORKSPACES")}
    return {name: str(folder) for name, folder in {**folders, **labs}.items()}


def set_in_lab(top: Path, extension: str, plugin: str, settings: str) -> None:
    """Write settings where JupyterLab keeps those that a user has made."""
    folder = top / "lab-settings" / "@jupyterlab" / extension
    folder.mkdir(parents=True)
    (folder / f"{plugin}.jupyterlab-settings").write_text(settings)


def every_cell_on_the_page(top: Path) -> None:
    """Keep on the page also the cells that are scrolled out of sight."""
    set_in_lab(top, "notebook-extension", "tracker", '{"windowingMode": "none"}')


@contextmanager
def opened_by_command(top: Path) -> Iterator[str]:
    """Run the command as a user does, in a folder of its own, and give the address it prints."""
    command = ["-m", "harmonykit", "workbook", "--folder", str(top / "mine"), "--no-browser"]
    server = subprocess.Popen(
        [sys.executable, *command, "--port", str(free_port())],
        env={**os.environ, **private(top)},
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
            try:
                server.wait(timeout=LIMIT / 4)
            except subprocess.TimeoutExpired:
                server.kill()


def environment(top: Path, root: Path) -> dict[str, str]:
    set_in_lab(top, "apputils-extension", "notification", SETTINGS)
    every_cell_on_the_page(top)
    return {**os.environ, **private(top), "PYTHONPATH": str(root)}


def answers(address: str) -> bool:
    try:
        with urllib.request.urlopen(address, timeout=LIMIT):
            return True
    except OSError:
        return False


@contextmanager
def running(top: Path, root: Path) -> Iterator[Lab]:
    """Run JupyterLab in a folder, with nothing of the user's own."""
    lab = Lab(top, environment(top, root))
    lab.folder.mkdir(parents=True)
    try:
        lab.begin()
        yield lab
    finally:
        lab.end()
        shutil.rmtree(top, ignore_errors=True)


PASTE = """
(place, line) => {
  const clipboardData = new DataTransfer();
  clipboardData.setData("text", line);
  const about = { clipboardData, bubbles: true, cancelable: true };
  place.dispatchEvent(new ClipboardEvent("paste", about));
}
"""


def paste(place: Locator, text: str) -> None:
    """Paste text at a place of a panel."""
    place.evaluate(PASTE, text)


@dataclass
class Bench:
    """A notebook in a tab, run to its end, with all that the tab complained of."""

    lab: Lab
    page: Page
    folder: Path
    complaints: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._heard: dict[Any, Callable[[Any], None]] = {
            "console": self._note_error,
            "pageerror": lambda error: self.complaints.append(str(error)),
            "requestfailed": lambda request: self.complaints.append(failure(request)),
        }
        for event, listener in self._heard.items():
            self.page.on(event, listener)

    def _note_error(self, message: Any) -> None:
        if message.type == "error":
            self.complaints.append(message.text)

    @property
    def panels(self) -> Any:
        return self.page.locator(".harmonykit-panel")

    def healthy(self) -> None:
        assert self.complaints == []

    def leave(self) -> None:
        """Close the notebook, and hand the tab on to the next one."""
        for event, listener in self._heard.items():
            self.page.remove_listener(event, listener)
        self.page.evaluate(CLEARED)
        _IDLE.append((self.lab, self.page))


def write_notebook(path: Path, *cells: str) -> None:
    import nbformat

    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(c) for c in cells])
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3"}
    nbformat.write(notebook, path)


def open_notebook(browser: Browser, lab: Lab, name: str) -> Bench:
    """Open a notebook, run all its cells, and wait until the last of them has printed ``ready``."""
    folder = (lab.folder / name).parent
    if not lab.runs():
        _IDLE[:] = [each for each in _IDLE if each[0] is not lab]
        lab.mend()
    used = next((each for each in _IDLE if each[0] is lab), None)
    if used is not None:
        _IDLE.remove(used)
        page = used[1]
        page.set_viewport_size(WINDOW)
        bench = Bench(lab, page, folder)
    else:
        page = browser.new_context(viewport=WINDOW).new_page()
        bench = Bench(lab, page, folder)
        bring_up(page, lab, bench.complaints)
    page.evaluate(OPENED, name)
    page.wait_for_selector(".jp-Notebook")
    expect(page.locator("#jp-main-statusbar")).to_contain_text("| Idle")
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
    expect(page.locator(".jp-OutputArea-output pre", has_text="ready")).to_be_visible()
    bench.complaints = [each for each in bench.complaints if each]
    return bench


def bring_up(page: Page, lab: Lab, complaints: list[str]) -> None:
    """Load JupyterLab into a new tab, with nothing open; once more where it does not come up."""
    for seconds in PATIENCE:
        complaints.clear()
        try:
            page.goto(f"{lab.address}/lab?reset&token={lab.token}")
            page.wait_for_function(UP, timeout=seconds * 1000)
            break
        except Error as trouble:
            if seconds == LIMIT:
                raise
            lab.begin_anew(trouble)
    page.evaluate(CLEARED)


def failure(request: Any) -> str:
    """Name a request that failed; one that the page itself gave up is none."""
    return "" if request.failure == "net::ERR_ABORTED" else f"{request.url}: {request.failure}"
