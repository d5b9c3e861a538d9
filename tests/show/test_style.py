"""Colours, the finished drawing, and names for the ear."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.show.style import (
    PALETTES,
    Drawing,
    css_variables,
    join_words,
    ordinal,
    palette,
    register_fonts,
    spoken,
)
from harmonykit.theory.note import Note

INK = '<svg xmlns="http://www.w3.org/2000/svg"><path id="pc-0" style="fill: #16243b"/></svg>'


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (W3C 2023)."""
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("name", PALETTES)
def test_text_and_marks_reach_the_contrast_that_wcag_asks_of_text(name: str) -> None:
    colours = palette(name)
    for token in ("ink", "soft", "third", "seventh", "tension"):
        # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
        assert contrast(getattr(colours, token), colours.paper) >= 4.5, token
    # 1.4.11: 3 to 1 for graphics; the thin line carries no meaning and still reaches it.
    assert contrast(colours.hair, colours.paper) >= 3


def test_one_ink_has_one_ink() -> None:
    tokens = palette("one ink").tokens
    assert {tokens[t] for t in tokens if t != "paper"} == {"#000000"}


def test_print_keeps_only_the_accents_in_colour() -> None:
    printed, light = palette("print").tokens, palette("colour").tokens
    assert {t for t in printed if printed[t] != light[t]} == {"ink", "soft", "hair"}


def test_an_unknown_palette_is_refused_with_the_known_ones() -> None:
    with pytest.raises(HarmonyError, match="one ink"):
        palette("sepia")


def test_a_page_gets_variables_and_ids_of_its_own() -> None:
    drawing = Drawing(INK, "a note", 10, 10)
    page = drawing.for_page("box1-")
    assert "#16243b" not in page
    assert 'style="fill: var(--ink)"' in page
    assert 'id="box1-pc-0"' in page
    assert "--ink:#16243b;" in css_variables()


def test_a_notebook_gets_the_picture_and_the_words() -> None:
    bundle = Drawing(INK, "a note", 10, 10)._repr_mimebundle_()
    assert bundle["text/plain"] == "a note"
    assert ET.fromstring(bundle["image/svg+xml"]).attrib["style"] == "background:#ffffff"


def test_a_saved_drawing_is_an_xml_file(tmp_path: Path) -> None:
    path = Drawing(INK, "C♯ and more", 10, 10).save(tmp_path / "one.svg")
    assert path.read_bytes().startswith(b'<?xml version="1.0" encoding="utf-8"?>\n<svg')
    assert ET.parse(path).getroot().tag.endswith("svg")


def test_matplotlib_finds_the_vendored_fonts_and_no_others() -> None:
    from matplotlib.font_manager import FontProperties, findfont

    for family in register_fonts():
        for weight in (400, 600):
            found = findfont(
                FontProperties(family=[family], weight=weight), fallback_to_default=False
            )
            assert "shared" in Path(found).parts or "_shared" in Path(found).parts


@pytest.mark.parametrize(
    ("name", "said"),
    [("C", "C"), ("Bb", "B flat"), ("F#", "F sharp"), ("Ebb", "E double flat"), ("Cbbb", "C bbb")],
)
def test_a_note_is_said_without_its_octave(name: str, said: str) -> None:
    assert spoken(Note.parse(name + "4")) == said


def test_numbers_and_lists_are_said_as_in_english() -> None:
    assert [ordinal(n) for n in (1, 12, 20, 21, 22, 23, 24, 111)] == [
        *("first", "twelfth", "twentieth", "21st", "22nd", "23rd", "24th", "111th"),
    ]
    assert [join_words(list(w)) for w in ("", "A", "AB", "ABC")] == [
        *("", "A", "A and B", "A, B and C"),
    ]


def test_what_points_to_an_id_follows_it_behind_its_prefix() -> None:
    svg = '<svg><g id="mark-root"/><use href="#mark-root"/><g style="clip-path: url(#c)"/></svg>'
    drawing = Drawing(svg, "a", 1, 1).prefixed("n1-")
    assert 'id="n1-mark-root"' in drawing.svg and 'href="#n1-mark-root"' in drawing.svg
    assert "url(#n1-c)" in drawing.svg
    assert Drawing(svg, "a", 1, 1).prefixed("").svg == svg
