"""Shapes under the staff: which, where, and that nothing lies over anything."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import to_musicxml
from harmonykit.draw.staves.engraved_shapes import add_shapes, frames_of
from harmonykit.draw.staves.engraving import engrave
from harmonykit.errors import HarmonyError

Arranged = Callable[..., Arrangement]
SVG = "{http://www.w3.org/2000/svg}"
BARS = "C=0003 F:2=2010 | Bb7=1211 NC:2 | G7=0212 | C=0003 | F=2010 | C=5-4-3-3"


def engraved(arrangement: Arrangement, width_mm: float = 120) -> ET.Element:
    return ET.fromstring(engrave(to_musicxml(arrangement), width_mm, shapes=True))


def shapes(root: ET.Element) -> list[str]:
    return [g.get("aria-label", "") for g in root.iter(SVG + "g") if g.get("class") == "shape"]


def test_each_symbol_has_its_shape_in_the_instruments_order(arranged: Arranged) -> None:
    found = shapes(engraved(arranged(BARS)))
    said = ["0 0 0 3", "2 0 1 0", "1 2 1 1", "0 2 1 2", "0 0 0 3", "2 0 1 0", "5 4 3 3"]
    assert found == [f"frets {frets}" for frets in said]
    guitar = engraved(arranged("A=x02220 | E=022100", instrument="guitar"))
    assert shapes(guitar) == ["frets x 0 2 2 2 0", "frets 0 2 2 1 0 0"]


def test_marks_stand_at_their_frets(arranged: Arranged) -> None:
    root = engraved(arranged("F=2010"))
    shape = next(g for g in root.iter(SVG + "g") if g.get("class") == "shape")
    marks = [
        (float(c.get("cx", 0)), float(c.get("cy", 0)), c.get("fill"))
        for c in shape.iter(SVG + "circle")
    ]
    # Strings 1.6 mm apart about the middle, frets 2 mm; open strings are hollow, above the nut.
    by_place = sorted(marks)
    assert by_place == [
        (-2.4, 3.0, "currentColor"),
        (-0.8, -0.95, "none"),
        (0.8, 1.0, "currentColor"),
        (2.4, -0.95, "none"),
    ]


def test_up_the_neck_the_first_fret_is_said(arranged: Arranged) -> None:
    root = engraved(arranged("C=9-9-8-10"))
    shape = next(g for g in root.iter(SVG + "g") if g.get("class") == "shape")
    assert [t.text for t in shape.iter(SVG + "text")] == ["8"]


def test_systems_and_shapes_do_not_lie_over_each_other(arranged: Arranged) -> None:
    text = engrave(to_musicxml(arranged(BARS)), 90, shapes=True)
    plain = engrave(to_musicxml(arranged(BARS)), 90)
    systems = re.findall(r'class="system" transform="translate\(0, (\d+)\)"', text)
    assert len(systems) > 1
    moved = [int(number) for number in systems]
    # Each system goes down by one room more: four or five rows, and what is above and below.
    steps = {b - a for a, b in zip(moved, moved[1:], strict=False)}
    assert moved[0] == 0
    assert max(steps) - min(steps) <= 1

    def height(svg: str) -> float:
        found = re.search(r'height="([\d.]+)mm"', svg)
        assert found is not None
        return float(found[1])

    added = height(text) - height(plain)
    assert abs(added / len(systems) - (3.8 + 4 * 2.0 + 2.5)) < 0.2


def test_close_chords_have_shapes_that_leave_each_other_room(arranged: Arranged) -> None:
    bars = "A=x02220 E:1=022100 A:2=x02220 E:3=022100 | A=x02220"
    root = engraved(arranged(bars, instrument="guitar"), 100)
    places = [
        (float(found[1]), float(found[2]))
        for g in root.iter(SVG + "g")
        if g.get("class") == "shape"
        and (found := re.search(r"translate\(([\d.]+), [\d.]+\) scale\(([\d.]+)\)", str(g.attrib)))
    ]
    assert len(places) == 5
    # Six strings 1.6 mm apart are 8 mm wide.
    for (x, size), (after, _) in zip(places[:4], places[1:4], strict=False):
        assert x + 8 * size < after
    assert all(0.5 <= size <= 1 for _, size in places)


def test_without_frames_nothing_is_drawn_and_nothing_moves(arranged: Arranged) -> None:
    score = re.sub(r"<frame .*?</frame>", "", to_musicxml(arranged(BARS)), flags=re.S)
    assert frames_of(ET.fromstring(score.split("\n", 2)[2])) == [None] * 8
    found = ET.fromstring(engrave(score, 120, shapes=True))
    assert shapes(found) == []


def test_another_svg_is_refused() -> None:
    with pytest.raises(HarmonyError, match="no systems"):
        add_shapes("<svg/>", [])
