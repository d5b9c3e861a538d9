"""Engraved scores: our fonts, our signs, nothing from elsewhere."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import to_musicxml
from harmonykit.draw.staves.engraving import engrave
from harmonykit.errors import HarmonyError

Arranged = Callable[..., Arrangement]
SVG = "{http://www.w3.org/2000/svg}"
BARS = "C6/9=2233 F#m7b5:2=2423 | Bb7=1211 C#dim7:2=0101 | Eb7b9=0212"


def symbols(svg: str) -> list[str]:
    groups = [g for g in ET.fromstring(svg).iter(SVG + "g") if g.get("class") == "harm"]
    return ["".join(g.itertext()).replace("\n", "").replace(" ", "") for g in groups]


def test_symbols_are_printed_as_we_print_them(arranged: Arranged) -> None:
    svg = engrave(to_musicxml(arranged(BARS)))
    assert symbols(svg) == ["C6/9", "F♯m7♭5", "B♭7", "C♯°7", "E♭7♭9"]


def test_no_glyph_of_a_private_font_is_left(arranged: Arranged) -> None:
    svg = engrave(to_musicxml(arranged(BARS)))
    assert not [c for c in svg if 0xE000 <= ord(c) <= 0xF8FF]
    assert "@font-face" not in svg and "data:" not in svg
    assert "'Harmonykit Sans', 'Source Sans 3', 'Quay Signs', sans-serif" in svg
    assert not re.search(r"(href|src)=\"?(http|//)", svg)


def test_a_score_has_its_size_and_its_name(arranged: Arranged) -> None:
    root = ET.fromstring(engrave(to_musicxml(arranged(BARS)), width_mm=120))
    assert root.attrib["width"] == "120.000mm"
    assert float(root.attrib["height"].removesuffix("mm")) > 10
    assert root.attrib["aria-label"] == "Ebb at the Weir"


def test_the_same_score_gives_the_same_bytes(arranged: Arranged) -> None:
    score = to_musicxml(arranged(BARS))
    assert engrave(score) == engrave(score)


def test_it_engraves_in_every_thread(arranged: Arranged) -> None:
    """Verovio keeps where its fonts are for each thread apart."""
    score = to_musicxml(arranged(BARS))
    here = engrave(score)
    for _ in range(2):
        with ThreadPoolExecutor(1) as pool:
            assert pool.submit(engrave, score).result() == here


@pytest.mark.parametrize("bad", ["", "no score", "<score-partwise>", "<html/>"])
def test_what_is_no_score_is_refused(bad: str) -> None:
    with pytest.raises(HarmonyError, match="no XML|cannot be engraved|nothing to engrave"):
        engrave(bad)
