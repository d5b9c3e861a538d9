"""The handout: a lesson as a PDF for the class, set by typst.

All that is printed goes to the page's template (``shared/templates/handout.typ``) as data, never as
markup.  The same lesson gives the same bytes.
"""

from __future__ import annotations

import json
from typing import Any, Literal

from harmonykit.lesson.handout_figures import Figures
from harmonykit.lesson.handout_front import front_page
from harmonykit.lesson.handout_levels import level_pages
from harmonykit.lesson.handout_turn import last_page
from harmonykit.lesson.model import Lesson, LessonError
from harmonykit.paths import shared_dir

PdfStandard = Literal["ua-1"]
FONT_FOLDERS = ("source-sans-3", "quay-signs")


def write_handout(lesson: Lesson, *, palette: str = "print") -> bytes:
    """Return a lesson's handout as a PDF, tagged, with bookmarks and alt text.

    Parameters
    ----------
    lesson : Lesson
    palette : str
        Of the figures: ``"print"``, or ``"one ink"`` for a school's copier.
    """
    return set_pages(handout_data(lesson, palette))


def set_pages(data: dict[str, Any], *, standard: PdfStandard | None = None) -> bytes:
    """Return the pages of a handout's data as a PDF; a standard asks for proof that it is kept."""
    import typst

    fonts = typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(shared_dir() / "fonts" / folder) for folder in FONT_FOLDERS],
    )
    template = shared_dir() / "templates" / "handout.typ"
    compiler = typst.Compiler(
        template,
        root=template.parent,
        font_paths=fonts,
        ignore_system_fonts=True,
        sys_inputs={"handout": json.dumps(data, ensure_ascii=False)},
    )
    pdf = compiler.compile(format="pdf", pdf_standards=standard)
    if not isinstance(pdf, bytes):
        raise LessonError("the handout could not be set")
    return pdf


def handout_data(lesson: Lesson, palette: str = "print") -> dict[str, Any]:
    """Return a handout as plain data: its pages, and the figures that they name."""
    figures = Figures(palette)
    data = front_page(lesson, figures) | {"levels": level_pages(lesson, figures)}
    data |= last_page(lesson, figures)
    data |= {"paper": lesson.front.paper, "author": lesson.front.group, "marks": figures.marks()}
    data["sample"] = lesson.front.shape_chord.unicode
    data["figures"] = figures.table()
    return data
