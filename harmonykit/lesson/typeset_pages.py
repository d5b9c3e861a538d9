"""A template's pages as pictures, set in a process of its own.

Typst remembers what it has set for as long as the process lives, some 50 MB for each new text: a
page that is drawn again and again while somebody types cannot afford that.  Run as a module this
file reads a template's data from standard input and writes its pages as a list of SVG texts, both
as JSON.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.errors import HarmonyError
from harmonykit.paths import shared_dir

if TYPE_CHECKING:
    from typst import Compiler, Fonts

FONT_FOLDERS = ("source-sans-3", "quay-signs")
DEADLINE = 60.0


def draw_pages(name: str, data: dict[str, Any], deadline: float = DEADLINE) -> tuple[str, ...]:
    """Return the pages of a template's data as pictures, one SVG a page.

    Parameters
    ----------
    name : str
        Of the template ``NAME.typ`` in ``shared/templates``; the data reaches it under this name.
    data : dict
        Whatever JSON can hold.
    deadline : float
        Seconds that it may take.

    Raises
    ------
    HarmonyError
        If the pages could not be set, or not in time.
    """
    package = str(Path(__file__).resolve().parents[2])
    paths = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
    try:
        child = subprocess.run(
            [sys.executable, "-P", "-m", "harmonykit.lesson.typeset_pages", name],
            input=json.dumps(data, ensure_ascii=False).encode(),
            capture_output=True,
            timeout=deadline,
            env=os.environ | {"PYTHONPATH": paths},
            check=True,
        )
        return tuple(json.loads(child.stdout))
    except (subprocess.SubprocessError, ValueError):
        raise HarmonyError(f"the pages of {name!r} could not be set") from None


def compiler(name: str, data: str) -> Compiler:
    """Return typst with a template of ours, its data as JSON, our fonts and no others."""
    import typst

    template = shared_dir() / "templates" / f"{name}.typ"
    return typst.Compiler(
        template,
        root=template.parent,
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={name: data},
    )


@lru_cache(maxsize=1)
def _fonts() -> Fonts:
    import typst

    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(shared_dir() / "fonts" / folder) for folder in FONT_FOLDERS],
    )


def main(name: str) -> None:
    """Set the pages of one template; see the module."""
    pages = compiler(name, sys.stdin.buffer.read().decode()).compile(format="svg")
    several = pages if isinstance(pages, list) else [pages]
    json.dump([page.decode() for page in several if isinstance(page, bytes)], sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1])
