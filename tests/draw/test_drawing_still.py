"""A figure that stands alone: its letters with it, and light on a dark screen."""

from __future__ import annotations

import base64
import io
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from typing import Any

import numpy as np
import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from PIL import Image
from playwright.sync_api import Browser

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.colours import PALETTES
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.sets.clock import draw_clock
from harmonykit.paths import shared_dir

FACE = re.compile(
    r'@font-face\{font-family:"([^"]+)";font-weight:(\d+);src:url\(data:font/ttf;base64,([^)]+)\)'
    r' format\("truetype"\);unicode-range:([^}]+)\}'
)
SHIPPED = {
    ("Harmonykit Sans", 400): "source-sans-3/SourceSans3_400Regular.ttf",
    ("Harmonykit Sans", 600): "source-sans-3/SourceSans3_600SemiBold.ttf",
    ("Quay Signs", 400): "quay-signs/QuaySigns-Regular.ttf",
    ("Quay Signs", 600): "quay-signs/QuaySigns-SemiBold.ttf",
}


def figure(colours: str = "colour") -> Drawing:
    canvas = Canvas(60, 20, colours)
    canvas.rectangle(0, 0, 60, 20, "paper")
    canvas.text(30, 8, "B𝄫°7 F𝄪ø", 13, weight=600)
    canvas.text(30, 16, "é ♯ CΔ", 9, colour="third")
    canvas.circle(5, 5, 3, stroke="ink", fill="seventh", width=0.3)
    return canvas.drawing("signs", "signs <of> chords")


def faces(svg: str) -> dict[tuple[str, int], TTFont]:
    return {
        (family, int(weight)): TTFont(io.BytesIO(base64.b64decode(data)))
        for family, weight, data, _ in FACE.findall(svg)
    }


def outline(font: TTFont, code: int) -> tuple[object, int]:
    glyphs, name = font.getGlyphSet(), font.getBestCmap()[code]
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    return pen.value, font["hmtx"][name][0]


def test_every_sign_is_in_the_face_that_sets_it_and_nothing_else_is() -> None:
    found = {key: set(font.getBestCmap()) for key, font in faces(figure().alone()).items()}
    assert found == {
        ("Harmonykit Sans", 600): {ord(sign) for sign in "B°7 Fø"},
        ("Harmonykit Sans", 400): {ord(sign) for sign in "é CΔ"},
        ("Quay Signs", 600): {ord(sign) for sign in "𝄫𝄪"},
        ("Quay Signs", 400): {ord("♯")},
    }


def test_letters_are_drawn_as_in_the_fonts_that_ship() -> None:
    for key, font in faces(figure().alone()).items():
        whole = TTFont(shared_dir() / "fonts" / SHIPPED[key])
        assert font["head"].unitsPerEm == whole["head"].unitsPerEm
        for code in font.getBestCmap():
            assert outline(font, code) == outline(whole, code)


def test_a_face_has_the_tables_that_every_font_has_and_no_names_of_letters() -> None:
    for font in faces(figure().alone()).values():
        needed = {"cmap", "head", "hhea", "hmtx", "maxp", "name", "OS/2", "post"}
        assert needed <= set(font.keys()) and font["post"].formatType == 3


def test_what_is_cut_down_bears_no_reserved_name() -> None:
    svg = figure().alone()
    for (family, _), font in faces(svg).items():
        names = {record.toUnicode() for record in font["name"].names}
        assert family in names and not [name for name in names if "Source" in name]
    assert "SIL Open Font License 1.1" in svg


def test_the_range_of_a_face_is_what_it_has() -> None:
    # Several figures in one page add to one another, as CSS Fonts Module 4, 4.5, has it.
    for family, weight, data, said in FACE.findall(figure().alone()):
        codes = set()
        for part in said.split(","):
            first, _, last = part.removeprefix("U+").partition("-")
            codes |= set(range(int(first, 16), int(last or first, 16) + 1))
        assert codes == set(TTFont(io.BytesIO(base64.b64decode(data))).getBestCmap()), family
        assert int(weight) in (400, 600)


def test_a_figure_stays_small() -> None:
    drawing = figure()
    assert len(drawing.alone()) - len(drawing.svg) < 10_000


def test_text_words_and_paper_are_those_of_the_figure() -> None:
    drawing = figure()
    root, plain = ET.fromstring(drawing.alone()), ET.fromstring(drawing.svg)
    svg = "{http://www.w3.org/2000/svg}"
    assert [e.text for e in root.iter(svg + "text")] == [e.text for e in plain.iter(svg + "text")]
    assert root.attrib["aria-label"] == "signs <of> chords"
    assert root.attrib["style"] == "background:#ffffff"
    assert "hk-still" in root.attrib["class"]


def test_the_same_figure_gives_the_same_bytes_in_any_process() -> None:
    program = (
        "import sys; from harmonykit.draw.sets.clock import draw_clock;"
        "sys.stdout.buffer.write(draw_clock((0, 4, 7, 10), title='C7').alone().encode())"
    )
    made = [
        subprocess.run([sys.executable, "-c", program], capture_output=True, check=True).stdout
        for _ in range(2)
    ]
    assert made[0] == made[1] == draw_clock((0, 4, 7, 10), title="C7").alone().encode()


@pytest.mark.parametrize("colours", ["print", "one ink", "dark"])
def test_only_a_figure_in_the_usual_colours_follows_the_screen(colours: str) -> None:
    assert "prefers-color-scheme" in figure().alone()
    made = figure(colours).alone()
    assert "prefers-color-scheme" not in made
    assert ET.fromstring(made).attrib["style"] == f"background:{PALETTES[colours].paper}"


def test_every_colour_that_is_used_has_its_rule_for_a_dark_screen() -> None:
    canvas = Canvas(10, 10)
    canvas.lines([[(0, 0), (5, 5)]], 0.3, colour="hair")
    canvas.circle(5, 5, 2, fill="third")
    rules = canvas.drawing("t", "a").alone().partition("prefers-color-scheme:dark")[2]
    light, dark = PALETTES["colour"], PALETTES["dark"]
    assert f'[stroke="{light.hair}"]{{stroke:{dark.hair}!important}}' in rules
    assert f'[fill="{light.third}"]{{fill:{dark.third}!important}}' in rules
    assert light.seventh not in rules and dark.seventh not in rules


class TestInABrowser:
    """As a notebook shows it, within an ``<img>``; as an exported one prints it, as an element."""

    @pytest.fixture
    def shots(self, browser: Browser) -> dict[str, Any]:
        data = base64.b64encode(figure().alone().encode()).decode()
        body = f'<img style="display:block" src="data:image/svg+xml;base64,{data}">'
        found: dict[str, Any] = {}
        for name, scheme, style in (
            ("light", "light", ""),
            ("dark", "dark", ":root{color-scheme:light dark}"),
            ("a dark theme", "light", "body{color-scheme:dark}"),
            ("print", "dark", ":root{color-scheme:light dark}"),
        ):
            page = browser.new_page(color_scheme=scheme)
            if name == "print":
                page.emulate_media(media="print", color_scheme="dark")
            page.set_content(
                f"<style>{style}</style>{figure().alone() if name == 'print' else body}"
            )
            page.wait_for_function("[...document.images].every((image) => image.complete)")
            shot = page.locator("img, svg").first.screenshot()
            found[name] = np.asarray(Image.open(io.BytesIO(shot)).convert("RGB"))
            page.close()
        return found

    def test_paper_and_ink_follow_the_screen(self, shots: dict[str, Any]) -> None:
        for name, palette in (
            ("light", "colour"), ("dark", "dark"), ("a dark theme", "dark"), ("print", "colour"),
        ):  # fmt: skip
            colours = PALETTES[palette]
            corner = tuple(int(colours.paper[i : i + 2], 16) for i in (1, 3, 5))
            seventh = tuple(int(colours.seventh[i : i + 2], 16) for i in (1, 3, 5))
            shot = shots[name]
            assert tuple(shot[2, 2]) == corner, name
            # The middle of the disc, 5 mm from both edges at 96 dots to the inch.
            assert tuple(shot[19, 19]) == seventh, name


def test_each_face_has_the_tables_that_a_font_must_have() -> None:
    """OpenType 1.9, font tables: eight are required, and what outlines need."""
    for font in faces(figure().alone()).values():
        required = {"cmap", "head", "hhea", "hmtx", "maxp", "name", "OS/2", "post"}
        assert required | {"glyf", "loca"} <= set(font.keys())
        # No names of glyphs: they are of no use to who only looks (format 3).
        assert font["post"].formatType == 3.0
