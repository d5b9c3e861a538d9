"""Open the workbook in JupyterLab: in the user's own copy of the notebooks, kept and mended.

The shipped notebooks are never opened themselves: running one writes its outputs into it, and an
installed package, or a checkout, is not the place for that.

A file is copied whole or not at all.  One that is already there is the user's.  It is written over
in one case: it breaks off before its end, as a copy does that was cut short.  A notebook that
cannot be read at all is kept under another name, beside the copy that takes its place.
"""

from __future__ import annotations

import json
import logging
import os
import re
import secrets
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, cast

from harmonykit.errors import HarmonyError
from harmonykit.files import read_bytes, write_whole
from harmonykit.paths import notebooks_dir, shared_dir
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from types import ModuleType

    from nbformat.sign import NotebookNotary

_NOT_SHIPPED = {".ipynb_checkpoints", "__pycache__"}
_MOST_BYTES, _MOST_NAMED = 100_000_000, 3
NOTEBOOK = ".ipynb"


@dataclass(frozen=True, slots=True)
class Copied:
    """What copying did to each file of the user's folder, by its path there.

    Parameters
    ----------
    folder : Path
    new : tuple of str
        Copied, since they were missing.
    same : tuple of str
        Found as shipped, byte for byte.
    mended : tuple of str
        Copied again, since they broke off before their end.
    kept : tuple of str
        The user's own: left as they were.
    aside : tuple of pairs of str
        Notebooks that cannot be read: the name, and the name under which the bytes are kept.
    """

    folder: Path
    new: tuple[str, ...] = ()
    same: tuple[str, ...] = ()
    mended: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    aside: tuple[tuple[str, str], ...] = ()

    def report(self) -> Iterator[str]:
        """Give one line for each thing that was done; what is as shipped is not mentioned."""
        if len(self.new) > _MOST_NAMED:
            yield f"{self.folder}: copied {len(self.new)} files, the notebooks"
        elif self.new:
            yield f"{self.folder}: copied {', '.join(self.new)}"
        if self.mended:
            yield f"{self.folder}: copied {', '.join(self.mended)} again: the copy was incomplete"
        if self.kept:
            yield f"{self.folder}: kept your own {', '.join(self.kept)}"
        for name, other in self.aside:
            yield f"{self.folder}: {name} is not a notebook; kept as {other}, and copied again"

    @property
    def as_shipped(self) -> tuple[str, ...]:
        """The files that are as they ship, byte for byte, sorted."""
        return tuple(sorted({*self.new, *self.same, *self.mended, *(n for n, _ in self.aside)}))


def copy_notebooks(folder: Path, shipped: Path | None = None) -> Copied:
    """Copy the shipped notebooks into a folder; write over nothing that is the user's.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    shipped : Path, optional
        Where to copy from.

    Raises
    ------
    HarmonyError
        If the folder is a file, or is the shipped notebooks' own; if a file cannot be read or
        written.
    """
    source = notebooks_dir() if shipped is None else shipped
    _check_folder(folder, source)
    done: dict[str, list[str]] = {"new": [], "same": [], "mended": [], "kept": []}
    aside = []
    for path in _files(source):
        name = path.relative_to(source).as_posix()
        target, data = folder / name, path.read_bytes()
        what = _found(target, data)
        if what == "aside":
            aside.append((name, _set_aside(target).relative_to(folder).as_posix()))
        else:
            done[what].append(name)
        if what not in ("same", "kept"):
            write_whole(target, data)
    return Copied(folder, **{key: tuple(names) for key, names in done.items()}, aside=tuple(aside))


def _check_folder(folder: Path, source: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise HarmonyError(f"{str(folder)!r} is a file", rule="the workbook needs a folder")
    if folder.resolve().is_relative_to(source.resolve()):
        raise HarmonyError(
            f"{str(folder)!r} holds the notebooks that come with harmonykit",
            rule="the workbook is a copy: what you run or change there is yours",
            mend="--folder harmonykit-workbook",
        )


def _files(source: Path) -> Iterator[Path]:
    for path in sorted(source.rglob("*")):
        if path.is_file() and not _NOT_SHIPPED & set(path.relative_to(source).parts):
            yield path


def _found(target: Path, data: bytes) -> str:
    """Say in one word what stands where a file of the workbook belongs."""
    if not target.exists():
        _make_folder(target.parent)
        return "new"
    # What is too large for a notebook as shipped, with all its outputs, is the user's.
    if target.is_file() and target.stat().st_size > _MOST_BYTES:
        return "kept"
    there = read_bytes(target, _MOST_BYTES)
    if there == data:
        return "same"
    # The beginning of a notebook is not a notebook; the beginning of a text may well be meant.
    if not there or (target.suffix == NOTEBOOK and data.startswith(there)):
        return "mended"
    return "aside" if target.suffix == NOTEBOOK and not _is_notebook(there) else "kept"


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise HarmonyError(f"{folder} cannot be made: {trouble.strerror}") from None


def _is_notebook(data: bytes) -> bool:
    try:
        read = json.loads(data)
    except (ValueError, RecursionError):
        return False
    return isinstance(read, dict) and ("cells" in read or "worksheets" in read)


def _set_aside(target: Path) -> Path:
    """Give a file another name that is still free, and return that."""
    number = 1
    while (other := target.with_name(f"{target.name}.damaged-{number}")).exists():
        number += 1
    try:
        return target.rename(other)
    except OSError as trouble:
        raise HarmonyError(f"{target} cannot be renamed: {trouble.strerror}") from None


FIRST_PAGE = "00_start_here.ipynb"
_CONFIG = "JUPYTER_CONFIG_PATH"
# Which tabs were open is kept beside the notebooks: JupyterLab's own place is one for all folders.
_TABS = ".tabs"


def spare_grammar() -> None:
    """Keep JupyterLab from making parsers that no notebook needs: half of the time of its start.

    Its library of JSON schemas makes 38 parsers of international addresses (RFC 3987) when it is
    imported, if it finds the grammar, and does without where it is not installed.  No schema of
    Jupyter's asks for that format.
    """
    sys.modules.setdefault("rfc3987_syntax", cast("ModuleType", None))


def hush(*logs: logging.Logger) -> None:
    """Leave out of the terminal three warnings in words of programmers, of what is no trouble.

    Jupyter Server gives Tornado its waits in thousandths of a second, where seconds are asked, and
    does the asking itself; a shorter wait closes tabs that only were asked at the same moment.  A
    file that is being saved has another name for a moment, which a list of the folder then lacks.
    And a tab that was open when the workbook stopped asks again and again, once it is begun anew,
    for a kernel of before: the page says so, and the terminal need not, in forty lines.

    Parameters
    ----------
    *logs : Logger
        Where the server writes, beside Tornado.
    """
    for log in (logging.getLogger("tornado.general"), *logs):
        log.addFilter(_is_trouble)


_NO_TROUBLE = re.compile(
    r"websocket_ping_timeout|\.~.* doesn't exist|/api/kernels/.*Kernel does not exist"
    r"|^wrote error: 'Kernel does not exist|404 GET /api/kernels/"
)


def _is_trouble(record: logging.LogRecord) -> bool:
    return not _NO_TROUBLE.search(record.getMessage())


def sign(paths: Iterable[Path], notary: NotebookNotary) -> None:
    """Sign notebooks, so that JupyterLab shows the figures stored in them before they are run.

    JupyterLab shows no SVG of a notebook that it does not trust.  A signature is one of the whole
    content: it holds until the notebook is changed by somebody else.

    Parameters
    ----------
    paths : iterable of Path
        Only notebooks whose content is known to be harmless.
    notary : NotebookNotary
        The server's own, since it is asked when a notebook is opened.
    """
    import nbformat

    for path in paths:
        notary.sign(nbformat.read(path, as_version=4))


def lab_options(folder: Path, port: int, *, browser: bool, token: str) -> list[str]:
    """Return JupyterLab's options: loopback alone, a token, nothing asked of the network."""
    return [
        "--ip=127.0.0.1",
        f"--port={port}",
        f"--IdentityProvider.token={token}",
        f"--ServerApp.root_dir={folder.resolve()}",
        f"--ServerApp.open_browser={browser}",
        # A container's only user is root; the token and the loopback address guard it there too.
        "--ServerApp.allow_root=True",
        "--ServerApp.allow_remote_access=False",
        # A kernel that speaks in the clear warns of it in the terminal, once for each notebook.
        "--KernelManager.transport_encryption=auto",
        f"--LabApp.default_url={first_page(folder)}",
        f"--LabApp.workspaces_dir={folder.resolve() / _TABS}",
        "--LabApp.news_url=None",
        # What it is told of is trouble; where the workbook is stands alone on the screen.
        "--ServerApp.log_level=WARN",
        "--LabApp.log_level=WARN",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
    ]


def lab_config(path: str) -> str:
    """Return the folders in which Jupyter looks for its configuration, with ours before them.

    Ours has defaults for two settings, so that no question about news stands on the first page.
    What the user has set in JupyterLab comes before any default, and no file of theirs is touched.

    Parameters
    ----------
    path : str
        What the environment variable ``JUPYTER_CONFIG_PATH`` holds; may be empty.
    """
    return os.pathsep.join(filter(None, (str(shared_dir() / "lab"), path)))


def first_page(folder: Path) -> str:
    """Return the address, below the server's, of what is shown first: where one left, if one did.

    Parameters
    ----------
    folder : Path
        The user's own.
    """
    left = any(NOTEBOOK in each.read_text("utf-8", "replace") for each in _tabs_kept(folder))
    return "/lab" if left or not (folder / FIRST_PAGE).is_file() else f"/lab/tree/{FIRST_PAGE}"


def _tabs_kept(folder: Path) -> Iterator[Path]:
    return (each for each in (folder / _TABS).glob("*") if each.is_file())


def open_lab(copied: Copied, port: int = 8888, *, browser: bool = True) -> None:
    """Run JupyterLab on a copy of the notebooks until it is told to stop.

    It runs in this process, so that the token stands on no command line for others to read; it is
    printed once, for a browser that did not open by itself.
    """
    print("JupyterLab starts: the first time in up to a minute, later in seconds", flush=True)
    spare_grammar()
    from jupyterlab.labapp import LabApp

    folder, token = copied.folder, secrets.token_urlsafe(24)
    os.environ[_CONFIG] = lab_config(os.environ.get(_CONFIG, ""))
    server = LabApp.initialize_server(argv=lab_options(folder, port, browser=browser, token=token))
    hush(server.log)
    notebooks = [folder / name for name in copied.as_shipped if name.endswith(NOTEBOOK)]
    try:
        sign(notebooks, server.contents_manager.notary)
    except OSError as trouble:
        print(f"the notebooks are not trusted ({trouble}): run a cell to see its figure")

    def announce() -> None:
        address = f"http://127.0.0.1:{server.port}{first_page(folder)}?token={token}"
        print(f"the workbook is at {address}\nCtrl-C, twice, stops it", flush=True)

    # After the server's own first callback, which binds the port.
    server.io_loop.add_callback(announce)
    server.start()
