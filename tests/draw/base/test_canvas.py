"""A sheet in mm becomes clean SVG, the same bytes each time."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from PIL import ImageFont

from harmonykit.draw.base.canvas import Canvas, arc_points, on_clock, text_width

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
    assert re.findall(r"[-\d.]+", path.attrib["d"]) == ["72", "36", "144", "36"]
    assert path.attrib["style"].endswith("stroke-width: 2")


def test_text_is_live_text_in_our_fonts_with_a_generic_one_after_them() -> None:
    canvas = Canvas(30, 10)
    canvas.text(15, 8, "B♭m7♭5 E𝄫 $x$", 13, weight=600, anchor="center")
    text = next(drawn(canvas).iter(SVG + "text"))
    assert text.text == "B♭m7♭5 E𝄫 $x$"
    style = text.attrib["style"]
    for part in (
        "font-weight: 600",
        "font-size: 13px",
        "font-family: 'Harmonykit Sans', 'Source Sans 3', 'Quay Signs', sans-serif",
        "text-anchor: middle",
    ):
        assert part in style


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
        "from harmonykit.draw.clock import draw_clock\n"
        "from harmonykit.theory.chord import Chord\n"
        "import sys\n"
        "svg = draw_clock(Chord.parse('D7'), was=Chord.parse('Adim7')).svg\n"
        "sys.stdout.buffer.write(svg.encode())\n"
    )
    root = Path(__file__).resolve().parents[3]
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


def test_the_width_of_a_text_is_what_another_library_measures() -> None:
    # Pillow reads the same font file by itself; 600 pixels to the em, so 1/600 em.
    file = "shared/fonts/source-sans-3/SourceSans3_600SemiBold.ttf"
    font = ImageFont.truetype(str(Path(__file__).resolve().parents[3] / file), 600)
    left, _, right, _ = font.getbbox("F7sus4")
    assert text_width("F7sus4", 13, 600) == pytest.approx(
        (right - left) / 600 * 13 * 25.4 / 72, abs=0.25
    )


def test_a_group_may_bear_classes_and_hold_markup_of_ones_own() -> None:
    canvas = Canvas(30, 10)
    with canvas.group("string-1-fret-2", "place role-root"):
        canvas.area(1, 2, 25.4, 5)
    canvas.insert('<use href="#mark-root"/>')
    root = drawn(canvas)
    group = next(e for e in root.iter() if e.attrib.get("id") == "string-1-fret-2")
    assert group.attrib["class"] == "place role-root"
    # Unseen, and yet a click meets it: SVG 2, 15.6.
    (area,) = group
    assert (area.attrib["fill"], area.attrib["pointer-events"]) == ("none", "all")
    assert [area.attrib[side] for side in ("x", "width")] == ["2.83", "72.00"]
    assert [e.attrib["href"] for e in root.iter(SVG + "use")] == ["#mark-root"]


def test_the_whole_drawing_may_bear_a_class() -> None:
    svg = Canvas(30, 10).drawing("t", "a", classes="fingerboard").svg
    assert ET.fromstring(svg).attrib["class"] == "fingerboard"


def test_drawings_made_side_by_side_are_those_made_alone() -> None:
    """Settings of matplotlib's are one for all threads: saving takes its turn."""

    def draw(number: int) -> str:
        canvas = Canvas(20, 10)
        canvas.text(5, 5, f"No. {number}", 10)
        return canvas.drawing("t", "a").svg

    alone = [draw(number) for number in range(12)]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(draw, range(12))) == alone
