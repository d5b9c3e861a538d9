"""The marks that say what a note does in its chord."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.marks import draw_key, draw_mark, half_width, mark_drawing
from harmonykit.draw.base.roles import ROLES
from harmonykit.draw.base.style import palette


def paths(role: str, letter: str = "") -> list[dict[str, str]]:
    canvas = Canvas(10, 10)
    draw_mark(canvas, 5, 5, role, 4.2, letter)
    root = ET.fromstring(canvas.drawing("m", "m").svg)
    return [dict(e.attrib) for e in root.iter() if e.tag.endswith(("path", "text"))]


def test_shapes_differ_without_their_colours() -> None:
    canvases = {}
    for role in ROLES:
        canvas = Canvas(10, 10, "one ink")
        draw_mark(canvas, 5, 5, role, 4.2)
        canvases[role] = canvas.drawing("m", "m").svg
    assert len(set(canvases.values())) == len(ROLES)


def test_letters_stand_out_from_their_mark() -> None:
    paper, ink = palette("colour").paper, palette("colour").ink
    for role in ("note", "root", "third", "seventh"):
        assert f"fill: {paper}" in paths(role, "C")[-1]["style"]
    for role in ("fifth", "was"):
        assert f"fill: {ink}" in paths(role, "C")[-1]["style"]
        assert f"fill: {paper}" in paths(role, "C")[0]["style"]


def test_the_ring_of_where_it_was_has_twelve_dashes() -> None:
    dashes = paths("was")[-1]["style"].split("stroke-dasharray: ")[1].split(";")[0]
    on_off = [float(n) for n in dashes.split(",")]
    assert 3.14159265 * 0.92 * 4.2 * 72 / 25.4 / sum(on_off) == pytest.approx(12, rel=1e-3)


@pytest.mark.parametrize("role", ROLES)
def test_a_mark_alone_fits_its_sheet(role: str) -> None:
    drawing = mark_drawing(role)
    assert drawing.width_mm == pytest.approx(5.88)
    assert ROLES[role].split()[0] in drawing.alt


@pytest.mark.parametrize("role", ROLES)
def test_no_mark_is_wider_than_is_said(role: str) -> None:
    reach = 0.0
    for path in paths(role):
        # Mitred, a line around a turned square reaches root two times its half width.
        stroke = re.search(r"stroke-width: ([\d.]+)", path["style"])
        turned = role == "tension"
        half = float(stroke[1]) / 2 * (2**0.5 if turned else 1) if stroke else 0.0
        xs = [float(x) for x in re.findall(r"([\d.]+) [\d.]+", path["d"])]
        reach = max(reach, max(xs) - 5 * 72 / 25.4 + half)
    assert reach * 25.4 / 72 / 4.2 == pytest.approx(half_width(role), abs=0.05)


def test_the_key_lists_the_marks_that_are_used_in_one_order() -> None:
    key = draw_key(["tension", "root"])
    words = [e.text for e in ET.fromstring(key.svg).iter() if e.tag.endswith("text")]
    assert words == ["root", "tension"] and key.alt == "The marks: root, tension"
    assert draw_key(ROLES).width_mm < 174
