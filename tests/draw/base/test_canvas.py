"""A sheet in mm becomes clean SVG, the same bytes each time."""

from __future__ import annotations

import math
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path as FilePath

import pytest

from harmonykit.draw.base.canvas import Canvas, arc_points, on_clock
from harmonykit.draw.tree import Group, Path

SVG = "{http://www.w3.org/2000/svg}"


def drawn(canvas: Canvas) -> ET.Element:
    return ET.fromstring(canvas.drawing("title", 'alt "quoted" & <more>').svg)


def test_the_sheet_has_its_size_in_mm_and_says_what_it_shows() -> None:
    root = drawn(Canvas(50.8, 25.4))
    assert (root.attrib["width"], root.attrib["height"]) == ("50.800mm", "25.400mm")
    # 25.4 mm are 72 points.
    assert root.attrib["viewBox"] == "0 0 144.000 72.000"
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-label"] == 'alt "quoted" & <more>'
    texts = [root.findtext(SVG + tag) for tag in ("title", "desc")]
    assert texts == ["title", 'alt "quoted" & <more>']


def test_a_millimetre_is_drawn_as_one_from_the_top_left() -> None:
    canvas = Canvas(100, 100)
    canvas.lines([[(25.4, 12.7), (50.8, 12.7)]], 25.4 / 36)
    path = next(drawn(canvas).iter(SVG + "path"))
    assert (path.attrib["d"], path.attrib["stroke-width"]) == ("M72 36L144 36", "2")


def test_text_is_live_text_in_our_fonts_with_a_generic_one_after_them() -> None:
    canvas = Canvas(30, 10)
    canvas.text(15, 8, "B♭m7♭5 E𝄫 $x$", 13, weight=600, anchor="center")
    root = drawn(canvas)
    text = next(root.iter(SVG + "text"))
    assert text.text == "B♭m7♭5 E𝄫 $x$"
    looks = {"font-weight": "600", "font-size": "13", "text-anchor": "middle"}
    assert looks.items() <= text.attrib.items()
    faces = "'Harmonykit Sans', 'Source Sans 3', 'Quay Signs', sans-serif"
    assert root.attrib["font-family"] == faces


def test_only_our_own_ids_are_written() -> None:
    canvas = Canvas(30, 10)
    with canvas.group("pc-3"):
        canvas.circle(5, 5, 4, fill="ink")
        with canvas.group(None):
            canvas.letter(5, 5, "E", 8)
    canvas.rectangle(0, 0, 1, 1, "third")
    ids = [e.attrib["id"] for e in drawn(canvas).iter() if "id" in e.attrib]
    assert ids == ["pc-3"]
    assert "<style" not in canvas.drawing("t", "a").svg


def test_what_comes_later_lies_above() -> None:
    canvas = Canvas(30, 10)
    canvas.letter(5, 5, "below", 8)
    canvas.circle(5, 5, 4, fill="paper")
    canvas.letter(5, 5, "above", 8)
    kinds = [e.tag.removeprefix(SVG) for e in drawn(canvas).iter() if e.tag != SVG + "g"]
    assert kinds[3:] == ["text", "path", "text"]


def test_the_same_calls_give_the_same_bytes_in_any_process() -> None:
    code = (
        "from harmonykit.draw.sets.clock import draw_clock\n"
        "from harmonykit.theory.chord import Chord\n"
        "import sys\n"
        "svg = draw_clock(Chord.parse('D7'), was=Chord.parse('Adim7')).svg\n"
        "sys.stdout.buffer.write(svg.encode())\n"
    )
    root = FilePath(__file__).resolve().parents[3]
    runs = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=root,
            env={"PYTHONHASHSEED": seed, "PATH": "/usr/bin", "HOME": str(root.parent)},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(runs) == 1
    assert b"pc-11" in runs.pop()


def test_clock_angles_run_from_the_top_to_the_right() -> None:
    assert on_clock((0, 0), 2, 90) == pytest.approx((2, 0))
    assert on_clock((1, 1), 1, 0) == pytest.approx((1, 0))
    points = arc_points((0, 0), 10, 350, 380)
    assert all(math.hypot(*p) == pytest.approx(10) for p in points)
    assert points[0] == pytest.approx(on_clock((0, 0), 10, -10))
    assert points[-1] == pytest.approx(on_clock((0, 0), 10, 20))
    # By hand: as few as leave no more than 1.5 degrees between them, and three at the least.
    for start, end, count in ((350, 380, 21), (0, 31, 22), (31, 0, 22), (5, 6, 3), (0, 360, 241)):
        assert len(arc_points((0, 0), 10, start, end)) == count


@pytest.mark.parametrize("end", [(9, 2), (2, 9), (-5, 3), (0, -8)])
def test_an_arrow_ends_in_its_tip_and_its_barbs_are_alike(end: tuple[float, float]) -> None:
    canvas = Canvas(10, 10)
    canvas.arrow([(0, 0), end], 0.5)
    shaft, head = canvas.drawing("t", "a").sheet.all(Path)
    tip, left, notch, right = head.points
    assert tip == pytest.approx(end) and shaft.points[0] == (0, 0)
    # Barbs lie on both sides of the line, as far from tip and notch, and behind the tip.
    assert math.dist(tip, left) == pytest.approx(math.dist(tip, right))
    assert math.dist(notch, left) == pytest.approx(math.dist(notch, right))
    assert math.dist(left, right) > 1
    assert all(math.hypot(*each) < math.hypot(*tip) for each in (left, notch, right))


def test_a_group_bears_its_role_as_a_class_and_its_words_for_the_ear() -> None:
    canvas = Canvas(30, 10)
    with canvas.group("string-1-fret-2", "place", "open, the note G"):
        canvas.area(1, 2, 25.4, 5)
    group = next(e for e in drawn(canvas).iter() if e.attrib.get("id") == "string-1-fret-2")
    assert group.attrib["class"] == "place"
    assert (group.attrib["role"], group.attrib["aria-label"]) == ("img", "open, the note G")
    # Unseen, and yet a click meets it: SVG 2, 15.6.
    (area,) = group
    assert (area.attrib["fill"], area.attrib["pointer-events"]) == ("none", "all")
    assert area.attrib["d"].startswith("M2.83 5.67L74.83 5.67")


def test_a_drawing_is_placed_whole_with_ids_of_its_own() -> None:
    small, sheet = Canvas(10, 10), Canvas(40, 40)
    with small.group("root"):
        small.rectangle(1, 2, 3, 4, "ink")
    for x in (0, 20):
        sheet.place(small.drawing("s", "a square"), x, 30, f"at-{x}-")
    tree = sheet.drawing("t", "a").sheet
    assert tree.ids == ("at-0-root", "at-20-root")
    assert tree.find("at-20-root").box == pytest.approx((21, 32, 24, 36))
    assert [group.alt for group in tree.all(Group, "drawing")] == ["a square"] * 2


def test_a_drawing_begins_in_its_corner_where_nothing_else_is_said() -> None:
    canvas = Canvas(30, 20)
    assert canvas.drawing("Slip", "a slip").origin_mm == (0, 0)
    drawing = canvas.drawing("Slip", "a slip", (3, 4))
    assert drawing.origin_mm == (3, 4) and (drawing.width_mm, drawing.height_mm) == (30, 20)
