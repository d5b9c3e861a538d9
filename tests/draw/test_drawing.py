"""A finished figure: as a page, a notebook and a file have it."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.colours import css_variables, palette
from harmonykit.draw.drawing import SCREEN_MM, Drawing


def note(words: str = "a note", width: float = 10) -> Drawing:
    canvas = Canvas(width, 10)
    with canvas.group("pc-0"):
        canvas.circle(5, 5, 4, fill="ink")
    return canvas.drawing("note", words)


def test_a_page_gets_variables_and_ids_of_its_own() -> None:
    page = note().for_page("box1-")
    assert palette("colour").ink not in page
    assert 'fill="var(--ink)"' in page and 'id="box1-pc-0"' in page
    assert "--ink:#16243b;" in css_variables()


def test_one_tree_serves_every_palette() -> None:
    printed = replace(note(), colours="print")
    assert printed.svg == note().svg.replace(palette("colour").ink, palette("print").ink)


def test_a_notebook_gets_the_picture_and_the_words() -> None:
    bundle = note()._repr_mimebundle_()
    assert bundle["text/plain"] == "a note"
    assert ET.fromstring(bundle["image/svg+xml"]).attrib["style"] == "background:#ffffff"


def test_what_is_wider_than_a_notebook_is_shown_smaller_there() -> None:
    shown = ET.fromstring(note(width=2 * SCREEN_MM)._repr_mimebundle_()["image/svg+xml"])
    assert (shown.attrib["width"], shown.attrib["height"]) == (f"{SCREEN_MM:.3f}mm", "5.000mm")
    assert ET.fromstring(note(width=2 * SCREEN_MM).svg).attrib["height"] == "10.000mm"


def test_a_saved_drawing_is_an_xml_file(tmp_path: Path) -> None:
    path = note("C♯ and <more>").save(tmp_path / "one.svg")
    assert path.read_bytes().startswith(b'<?xml version="1.0" encoding="utf-8"?>\n<svg')
    assert ET.parse(path).getroot().attrib["aria-label"] == "C♯ and <more>"


def test_a_drawing_says_its_size_and_its_words() -> None:
    assert repr(note("C and G")) == "<Drawing 10 x 10 mm: C and G>"
    assert repr(note(width=12.5)) == "<Drawing 12.5 x 10 mm: a note>"
