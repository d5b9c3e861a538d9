"""Many figures on one sheet."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET

import pytest
from pypdf import PdfReader

from harmonykit.draw.base.style import Drawing
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.sheet import Group, draw_sheet, sheet_pdf
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

SVG = "{http://www.w3.org/2000/svg}"
MM = 25.4 / 72
UKULELE = Instrument.named("ukulele")
DIM7 = Chord.parse("F#dim7")


def inner(page: Drawing) -> list[tuple[float, float, float, float]]:
    """Return left, top, width and height in mm of each drawing on a page."""
    found = list(ET.fromstring(page.svg).iter(SVG + "svg"))[1:]
    return [tuple(float(e.attrib[s]) * MM for s in ("x", "y", "width", "height")) for e in found]  # type: ignore[misc]


def group(count: int, head: str = "F♯°7") -> Group:
    shapes = find_voicings(DIM7, UKULELE)
    boxes = [draw_box(shapes[n % len(shapes)], DIM7, palette="print") for n in range(count)]
    return Group(head, tuple(boxes), f"{count} shapes")


def test_drawings_keep_their_size_and_do_not_touch() -> None:
    (page,) = draw_sheet([group(9)])
    placed = inner(page)
    assert len(placed) == 9
    for (x, y, wide, high), box in zip(placed, group(9).drawings, strict=True):
        assert (wide, high) == pytest.approx((box.width_mm, box.height_mm), abs=0.01)
        assert x >= 0 and x + wide <= page.width_mm and y + high <= page.height_mm + 0.01
    for i, (x, y, wide, high) in enumerate(placed):
        for other_x, other_y, other_wide, other_high in placed[:i]:
            beside = x >= other_x + other_wide or other_x >= x + wide
            below = y >= other_y + other_high or other_y >= y + high
            assert beside or below


def test_the_nuts_of_a_row_are_level() -> None:
    named = draw_box(find_voicings(DIM7, UKULELE)[0], DIM7)
    bare = draw_box(find_voicings(DIM7, UKULELE)[0], DIM7, name="")
    (page,) = draw_sheet([Group("two", (named, bare))])
    tops = [y for _, y, _, _ in inner(page)]
    assert tops[0] + named.origin_mm[1] == pytest.approx(tops[1] + bare.origin_mm[1], abs=0.01)


def test_a_full_page_goes_on_and_no_heading_stands_alone() -> None:
    groups = [group(30, f"chord {n}") for n in range(3)]
    pages = draw_sheet(groups, title="Shapes")
    assert len(pages) > 1
    assert sum(len(inner(page)) for page in pages) == 90
    for page in pages:
        heads = [
            float(e.attrib["y"]) * MM
            for e in ET.fromstring(page.svg).iter(SVG + "text")
            if (e.text or "").startswith("chord")
        ]
        last = max(y for _, y, _, _ in inner(page))
        assert all(head < last for head in heads)
        assert page.height_mm <= 268


def test_ids_are_unique_over_all_pages() -> None:
    pages = draw_sheet([group(30), group(30)])
    ids = [gid for page in pages for gid in re.findall(r' id="([^"]*)"', page.svg)]
    assert len(ids) == len(set(ids)) and ids


def test_the_pdf_has_its_pages_text_and_bytes() -> None:
    pages = draw_sheet([group(3, "B♭m7♭5")], title="Ukulele", note="Four strings")
    pdf = sheet_pdf(pages, title="Shapes")
    read = PdfReader(io.BytesIO(pdf))
    assert len(read.pages) == len(pages)
    text = read.pages[0].extract_text()
    assert all(said in text for said in ("Ukulele", "Four strings", "B♭m7♭5"))
    width, height = (float(v) * MM for v in read.pages[0].mediabox[2:])
    assert (width, height) == pytest.approx((210, 297), abs=0.1)
    assert pdf == sheet_pdf(pages, title="Shapes")


def test_what_fits_on_no_page_is_refused() -> None:
    with pytest.raises(HarmonyError, match="mm wide"):
        draw_sheet([group(1)], width=20)
    with pytest.raises(HarmonyError, match="mm high"):
        draw_sheet([group(1)], height=30)
    with pytest.raises(HarmonyError, match="without a page"):
        sheet_pdf(())


def test_a_long_note_is_set_in_lines_and_pushes_the_rest_down() -> None:
    plain, noted = (draw_sheet([group(1)], title="T", note=note)[0] for note in ("", "word " * 60))
    lines = [e for e in ET.fromstring(noted.svg).iter(SVG + "text") if "word" in (e.text or "")]
    assert len(lines) == 3 and " ".join(e.text or "" for e in lines).count("word") == 60
    assert inner(noted)[0][1] == pytest.approx(inner(plain)[0][1] + 12, abs=0.01)


def test_a_group_without_a_heading_or_without_drawings_is_set_too() -> None:
    (page,) = draw_sheet([Group("none", ()), Group("", group(1).drawings)])
    said = [e.text for e in ET.fromstring(page.svg).iter(SVG + "text")]
    assert "none" in said and len(inner(page)) == 1
    assert draw_sheet([]) == ()
