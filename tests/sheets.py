"""Reading a PDF back: its text, where each run stands, its fonts; and whether it is well set."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import pypdf

from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, text_width
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import Variant, gather_handout
from harmonykit.paths import find_data

LEAST_PT = 9.0
MARGINS_PT = {841: 51.0, 792: 59.3, 702: 17.0, 395: 17.0}  # of A4, letter, a tablet
# that stands and one that lies, at either side
FONTS = {"SourceSans3-Regular", "SourceSans3-SemiBold", "SourceSans3-Italic"}
FONTS |= {"QuaySigns-Regular", "QuaySigns-SemiBold"}
Run = tuple[str, float, float, float, str, int]


def read(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf))


@lru_cache(maxsize=16)
def shipped_sheet(
    name: str, instrument: str = "", *, large: bool = False, tablet: bool = False
) -> pypdf.PdfReader:
    """Return the handout of a shipped lesson, built once."""
    asked = {"instrument": instrument} if instrument else {}
    lesson = load_lesson(find_data("lessons", name), **asked)
    return read(gather_handout(lesson, Variant(large=large, tablet=tablet)).pdf())


def text_of(page: pypdf.PageObject) -> str:
    return re.sub(r"\s+", " ", page.extract_text().replace("\u200b", ""))


def texts_of(pdf: bytes) -> list[str]:
    return [text_of(page) for page in read(pdf).pages]


def level_starts(texts: list[str]) -> list[int]:
    """Return the page on which each level begins, with its chart or with its shapes; from 0."""
    heads = [re.match(r".{0,60}?Level (\d) ·", text) for text in texts]
    found = {head[1]: page for page, head in reversed([*enumerate(heads)]) if head}
    return sorted(found.values())


def fonts(resources: Any) -> Iterator[str]:
    for font in resources.get("/Font", {}).values():
        yield str(font.get_object()["/BaseFont"]).rpartition("+")[2]
    for form in resources.get("/XObject", {}).values():
        yield from fonts(form.get_object().get("/Resources", {}))


def placed(page: pypdf.PageObject) -> list[Run]:
    """Return each run of text, where it begins, its size (in points), its font and its direction:
    1 to the right, -1 to the left where it stands upside down."""
    found: list[Run] = []

    def visit(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        if text.strip():
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            up = (tm[2] * cm[0] + tm[3] * cm[2], tm[2] * cm[1] + tm[3] * cm[3])
            name = str(font["/BaseFont"]).rpartition("+")[2] if font else ""
            along = 1 if tm[0] * cm[0] + tm[1] * cm[2] > 0 else -1
            found.append((text.strip(), x, y, size * math.hypot(*up), name, along))

    page.extract_text(visitor_text=visit)
    return found


def outline(reader: pypdf.PdfReader) -> list[Any]:
    """Return the bookmarks, flat."""

    def flat(items: list[Any]) -> Iterator[Any]:
        for item in items:
            yield from flat(item) if isinstance(item, list) else [item]

    return list(flat(reader.outline))


def assert_well_set(reader: pypdf.PdfReader, least: float = LEAST_PT) -> None:
    """No text too small, none past the margins, no font but ours, no heading alone at a foot."""
    pages = list(reader.pages)
    runs = [placed(page) for page in pages]
    for page, on_page in zip(pages, runs, strict=True):
        assert_inside(page, on_page, least)
        assert set(fonts(page["/Resources"])) <= FONTS
    foot = 62 if float(pages[0].mediabox.height) > 800 else 48
    for item in outline(reader):
        # Small print, and what to watch where nothing was added, stand beside their headings.
        down = 8 if item.title in ("Good to know", "What to watch", "Play along") else 30
        on_page = runs[reader.get_destination_page_number(item) or 0]
        below = [y for _, _, y, *_ in on_page if foot < y < float(item.top) - down]
        assert below, f"nothing stands under {item.title}"


def assert_inside(page: pypdf.PageObject, runs: list[Run], least: float) -> None:
    """No run is clipped at the right or left, nor smaller than it may be."""
    wide, high = float(page.mediabox.width), float(page.mediabox.height)
    side = MARGINS_PT[int(high)]
    for text, x, y, size, font, along in runs:
        assert size >= least - 0.01, (text, size)
        assert side - 1 < x < wide - side + 1 and 14 < y < high - 14, (text, x, y)
        if "\n" not in text and "Quay" not in font:
            weight = SEMIBOLD if "Semi" in font else REGULAR
            end = x + along * text_width(text.replace("\u200b", ""), size, weight) / 25.4 * 72
            assert side - 3 < end < wide - side + 3, (text, end)
