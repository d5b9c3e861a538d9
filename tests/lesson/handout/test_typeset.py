"""Pages set by typst: as a PDF and as pictures, the same pages."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pypdf
import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import handout_data
from harmonykit.lesson.handout.typeset import Unset, draw_pages
from harmonykit.paths import find_data


@pytest.mark.parametrize("name", ["", pytest.param("four_dominants", marks=pytest.mark.long)])
def test_the_pictures_are_the_pages_of_the_pdf(lesson_path: Path, name: str) -> None:
    data = handout_data(load_lesson(find_data("lessons", name) if name else lesson_path))
    pages = pypdf.PdfReader(io.BytesIO(Unset.of("handout", data).pdf())).pages
    drawn = draw_pages("handout", data)
    assert len(drawn) == len(pages) > 2
    for page, svg in zip(pages, drawn, strict=True):
        wide, high = re.findall(r'(?:width|height)="([\d.]+)pt"', svg)[:2]
        assert (round(float(wide)), round(float(high))) == (
            round(page.mediabox.width),
            round(page.mediabox.height),
        )
    assert drawn == draw_pages("handout", data)


def test_what_cannot_be_set_is_said() -> None:
    with pytest.raises(HarmonyError, match="could not be typeset"):
        draw_pages("handout", {"not": "a handout"})
    with pytest.raises(HarmonyError, match="could not be typeset within 0.01 seconds"):
        draw_pages("cues", {"title": "t", "pages": []}, deadline=0.01)
