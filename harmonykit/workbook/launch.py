"""Open the workbook: a copy of the shipped notebooks in a folder of the user's, in JupyterLab.

The shipped notebooks are never opened themselves: running one writes its outputs into it, and an
installed package, or a checkout, is not the place for that.
"""

from __future__ import annotations

import filecmp
import secrets
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.paths import notebooks_dir

FIRST_PAGE = "00_start_here.ipynb"
_NOT_SHIPPED = {".ipynb_checkpoints", "__pycache__"}


@dataclass(frozen=True, slots=True)
class Copied:
    """What copying did: the files that are new in the user's folder, and those left alone."""

    folder: Path
    new: tuple[str, ...]
    kept: tuple[str, ...]

    def report(self) -> Iterator[str]:
        """Give one line about the new files, and one about those that differ and were kept."""
        if self.new:
            yield f"{self.folder}: copied {', '.join(self.new)}"
        if self.kept:
            yield f"{self.folder}: kept yours of {', '.join(self.kept)}"


def copy_notebooks(folder: Path, shipped: Path | None = None) -> Copied:
    """Copy the shipped notebooks that are not yet in a folder; write over nothing.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    shipped : Path, optional
        Where to copy from.

    Raises
    ------
    HarmonyError
        If the folder is a file, or is the shipped notebooks' own.
    """
    source = notebooks_dir() if shipped is None else shipped
    if folder.exists() and not folder.is_dir():
        raise HarmonyError(f"{str(folder)!r} is a file", rule="the workbook needs a folder")
    if folder.resolve().is_relative_to(source.resolve()):
        raise HarmonyError(
            f"{str(folder)!r} holds the notebooks as shipped",
            rule="the workbook is a copy: what you run or change there is yours",
            mend="--folder harmonykit-workbook",
        )
    folder.mkdir(parents=True, exist_ok=True)
    new, kept = [], []
    for path in _files(source):
        name = path.relative_to(source)
        target = folder / name
        if not target.exists():
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, target)
            new.append(name.as_posix())
        elif not filecmp.cmp(path, target, shallow=False):
            kept.append(name.as_posix())
    return Copied(folder, tuple(new), tuple(kept))


def _files(source: Path) -> Iterator[Path]:
    for path in sorted(source.rglob("*")):
        if path.is_file() and not _NOT_SHIPPED & set(path.relative_to(source).parts):
            yield path


def lab_options(folder: Path, port: int, browser: bool, token: str) -> list[str]:
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
        f"--LabApp.default_url={first_page(folder)}",
        "--LabApp.news_url=None",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
    ]


def first_page(folder: Path) -> str:
    """Return the address, below the server's, of what is shown first."""
    return f"/lab/tree/{FIRST_PAGE}" if (folder / FIRST_PAGE).is_file() else "/lab"


def open_lab(folder: Path, port: int = 8888, browser: bool = True) -> None:
    """Run JupyterLab on a folder until it is told to stop.

    It runs in this process, so that the token stands on no command line for others to read; it is
    printed once, for a browser that did not open by itself.
    """
    from jupyterlab.labapp import LabApp

    token = secrets.token_urlsafe(24)
    server = LabApp.initialize_server(argv=lab_options(folder, port, browser, token))

    def announce() -> None:
        address = f"http://127.0.0.1:{server.port}{first_page(folder)}?token={token}"
        print(f"the workbook is at {address}\nCtrl-C, twice, stops it", flush=True)

    # After the server's own first callback, which binds the port.
    server.io_loop.add_callback(announce)
    server.start()
