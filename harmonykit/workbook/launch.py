"""Open the workbook: a copy of the shipped notebooks in a folder of the user's, in JupyterLab.

The shipped notebooks are never opened themselves: running one writes its outputs into it, and an
installed package, or a checkout, is not the place for that.
"""

from __future__ import annotations

import os
import secrets
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, cast

from harmonykit.paths import shared_dir
from harmonykit.workbook.copies import NOTEBOOK, Copied

if TYPE_CHECKING:
    from types import ModuleType

    from nbformat.sign import NotebookNotary

FIRST_PAGE = "00_start_here.ipynb"
_CONFIG = "JUPYTER_CONFIG_PATH"


def spare_grammar() -> None:
    """Keep JupyterLab from making parsers that no notebook needs: half of the time of its start.

    Its library of JSON schemas makes 38 parsers of international addresses (RFC 3987) when it is
    imported, if it finds the grammar, and does without where it is not installed.  No schema of
    Jupyter's asks for that format.
    """
    sys.modules.setdefault("rfc3987_syntax", cast("ModuleType", None))


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
        f"--LabApp.default_url={first_page(folder)}",
        "--LabApp.news_url=None",
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
    """Return the address, below the server's, of what is shown first."""
    return f"/lab/tree/{FIRST_PAGE}" if (folder / FIRST_PAGE).is_file() else "/lab"


def open_lab(copied: Copied, port: int = 8888, *, browser: bool = True) -> None:
    """Run JupyterLab on a copy of the notebooks until it is told to stop.

    It runs in this process, so that the token stands on no command line for others to read; it is
    printed once, for a browser that did not open by itself.
    """
    spare_grammar()
    from jupyterlab.labapp import LabApp

    folder, token = copied.folder, secrets.token_urlsafe(24)
    os.environ[_CONFIG] = lab_config(os.environ.get(_CONFIG, ""))
    server = LabApp.initialize_server(argv=lab_options(folder, port, browser=browser, token=token))
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
