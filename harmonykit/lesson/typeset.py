"""Pages from data: a template of ours, set by typst with our fonts and no others.

What is printed goes to the template as data, never as markup, so that no text of a lesson can be
read as a command.  The same data gives the same bytes.
"""

from __future__ import annotations

import json
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Literal

from harmonykit.lesson.model import LessonError
from harmonykit.paths import shared_dir

if TYPE_CHECKING:
    from typst import Fonts

PdfStandard = Literal["ua-1"]
FONT_FOLDERS = ("source-sans-3", "quay-signs")


def set_pdf(name: str, data: dict[str, Any], *, standard: PdfStandard | None = None) -> bytes:
    """Return the PDF of a template's data.

    Parameters
    ----------
    name : str
        Of the template ``NAME.typ`` in ``shared/templates``; the data reaches it under this name.
    data : dict
        Whatever JSON can hold.
    standard : {"ua-1"}, optional
        Asks for proof that the standard is kept.

    Raises
    ------
    LessonError
        If the pages could not be set.
    """
    import typst

    template = shared_dir() / "templates" / f"{name}.typ"
    compiler = typst.Compiler(
        template,
        root=template.parent,
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={name: json.dumps(data, ensure_ascii=False)},
    )
    pdf = compiler.compile(format="pdf", pdf_standards=standard)
    if not isinstance(pdf, bytes):
        raise LessonError(f"the pages of {name!r} could not be set")
    return pdf


@lru_cache(maxsize=1)
def _fonts() -> Fonts:
    import typst

    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(shared_dir() / "fonts" / folder) for folder in FONT_FOLDERS],
    )
