"""Pages from data: a template of ours, set by typst with our fonts, in a process of its own.

Typst remembers what it has set for as long as the process lives, 50 to 500 MB for each new text: a
lesson with several handouts, or a page that is drawn again and again while somebody types, cannot
afford that.  Run as a module this file reads a template's data as JSON from standard input, and
writes a PDF, or its pages as a JSON list of SVG texts.

What is printed goes to the template as data, never as markup, so that no text of a lesson can be
read as a command.  The same data gives the same bytes.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from harmonykit.draw.base.fonts import typst_fonts
from harmonykit.errors import HarmonyError
from harmonykit.paths import shared_dir
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from typst import Compiler

PdfStandard = Literal["ua-1"]
PDF, SVG = "pdf", "svg"
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
    return tuple(json.loads(set_apart(name, _packed(data), SVG, deadline=deadline)))


def _packed(data: dict[str, Any]) -> bytes:
    return json.dumps(data, ensure_ascii=False).encode()


def set_apart(
    name: str,
    data: bytes,
    kind: str = PDF,
    *,
    standard: PdfStandard | None = None,
    deadline: float | None = None,
) -> bytes:
    """Return what a process of its own writes for a template's data as JSON; see the module.

    Raises
    ------
    HarmonyError
        If the pages could not be set, or not in time.
    """
    package = str(Path(__file__).resolve().parents[3])
    paths = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
    asked = [name, kind, *([standard] if standard else [])]
    try:
        child = subprocess.run(
            [sys.executable, "-P", "-m", "harmonykit.lesson.handout.typeset", *asked],
            input=data,
            capture_output=True,
            timeout=deadline,
            env=os.environ | {"PYTHONPATH": paths},
            check=True,
        )
    except subprocess.TimeoutExpired:
        within = f"within {deadline:g} seconds"
        raise HarmonyError(f"the pages of {name!r} could not be typeset {within}") from None
    except (subprocess.SubprocessError, ValueError):
        raise HarmonyError(f"the pages of {name!r} could not be typeset") from None
    return child.stdout


def compiler(name: str, data: str) -> Compiler:
    """Return typst with a template of ours, its data as JSON, our fonts and no others."""
    import typst

    template = shared_dir() / "templates" / f"{name}.typ"
    return typst.Compiler(
        template,
        root=template.parent,
        font_paths=typst_fonts(),
        ignore_system_fonts=True,
        sys_inputs={name: data},
    )


@dataclass(frozen=True, slots=True)
class Unset:
    """Pages that are yet to be set, which may be done beside other work.

    Parameters
    ----------
    template : str
        The template's name.
    data : bytes
        Its data as JSON.
    standard : {"ua-1"} or None
        Asks for proof that the standard is kept.
    """

    template: str
    data: bytes
    standard: PdfStandard | None = None

    @classmethod
    def of(cls, template: str, data: dict[str, Any], standard: PdfStandard | None = None) -> Unset:
        """Return the pages of a template's data, ready to be set."""
        return cls(template, _packed(data), standard)

    def pdf(self) -> bytes:
        """Return the PDF."""
        return set_apart(self.template, self.data, PDF, standard=self.standard)

    def pdf_here(self) -> bytes:
        """Return the PDF, set by this process, which had better end soon; see the module."""
        return _pdf(compiler(self.template, self.data.decode()), self.standard)


def _pdf(setter: Compiler, standard: PdfStandard | None) -> bytes:
    pages = setter.compile(format="pdf", pdf_standards=standard)
    return b"".join(pages) if isinstance(pages, list) else pages or b""


def main(name: str, kind: str, standard: PdfStandard | None = None) -> None:
    """Set the pages of one template; see the module."""
    setter = compiler(name, sys.stdin.buffer.read().decode())
    if kind == PDF:
        sys.stdout.buffer.write(_pdf(setter, standard))
        return
    pages = setter.compile(format="svg")
    several = pages if isinstance(pages, list) else [pages]
    json.dump([page.decode() for page in several if isinstance(page, bytes)], sys.stdout)


if __name__ == "__main__":
    main(*sys.argv[1:])  # type: ignore[arg-type]
