"""Trees become markup in the writers alone, and nothing takes markup apart as text."""

from __future__ import annotations

import ast
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path as FilePath

import pytest

import harmonykit
from harmonykit.draw.base.colours import palette
from harmonykit.draw.svg import path_data, write_body, write_figure, write_svg
from harmonykit.draw.tree import Group, Mark, Path, Sheet, Text, polyline, ring

ROOT = FilePath(harmonykit.__file__).parent
SVG = "{http://www.w3.org/2000/svg}"
COLOURS = palette("colour").tokens
# What a pattern over SVG has in it: an element's name, an attribute, a colour in hexadecimal.
SIGNS = ("<svg", "<path", "<text", "<g", "<use", "<rect", "<circle", "<title", "<desc", "<style")
SIGNS += ("viewBox", 'id="', 'class="', 'style="', "href", "fill", "stroke", "#[0-9a-f", "url\\(")
READS = {"compile", "search", "match", "fullmatch", "sub", "subn", "findall", "finditer", "split"}
TAKES_APART = {"replace", "split", "partition", "rpartition", "find", "index", "removeprefix"}
SHEET = Sheet(
    50.8,
    25.4,
    (
        Group((Path(ring(10, 10, 4), fill="ink", stroke="third", width=1, dash=(1, 2)),), "a"),
        Group((Path(polyline([(0, 0), (1, 1)])),), "a", "place"),
        Mark("root", 5, 5, 2, (Path(ring(5, 5, 2), fill="ink"), Text(5, 5, "C", 9, 600)), id="m"),
        Text(1, 2, "1 < 2 & ♭", 10, anchor="right", italic=True),
    ),
    "t",
    'a "figure"',
)


def texts_in(node: ast.AST) -> Iterator[str]:
    for part in ast.walk(node):
        if isinstance(part, ast.Constant) and isinstance(part.value, str):
            yield part.value


def patterns(code: str) -> Iterator[tuple[int, str]]:
    """Yield each text that is handed to a function of ``re``, with its line."""
    for node in ast.walk(ast.parse(code)):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        if node.func.attr in READS and ast.unparse(node.func.value) == "re":
            # The name of a group is no element.
            yield from ((node.lineno, text.replace("(?P<", "(")) for text in texts_in(node))


def taken_apart(code: str) -> Iterator[int]:
    """Yield the line of each call that takes apart what a figure is written as."""
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            owner = ast.unparse(node.func.value)
            drawn = owner.endswith((".svg", ".alone()", ".for_page()", ".as_file()"))
            if drawn and node.func.attr in TAKES_APART:
                yield node.lineno


def test_the_search_finds_what_it_looks_for() -> None:
    code = "_BODY = re.compile(rf'</desc>{x}<g')\nre.sub('[a-f]+', '', text)\n"
    assert [line for line, text in patterns(code) if any(s in text for s in SIGNS)] == [1]
    assert list(taken_apart("drawing.svg.replace('a', 'b')\ntext.replace('a', 'b')\n")) == [1]


@pytest.mark.parametrize("file", sorted(ROOT.rglob("*.py")), ids=lambda p: str(p.stem))
def test_no_regular_expression_reads_a_picture(file: FilePath) -> None:
    code = file.read_text(encoding="utf-8")
    found = [
        f"line {line}: {text!r}"
        for line, text in patterns(code)
        if any(sign in text for sign in SIGNS)
    ]
    assert found == [] and list(taken_apart(code)) == []


def test_looks_are_attributes_and_lengths_are_points() -> None:
    root = ET.fromstring(write_svg(SHEET, COLOURS, "x-"))
    assert root.attrib["viewBox"] == "0 0 144.000 72.000"
    disc = next(root.iter(f"{SVG}path"))
    wanted = {"fill": COLOURS["ink"], "stroke": COLOURS["third"], "stroke-width": "2.83"}
    assert {**disc.attrib, **wanted, "stroke-dasharray": "2.83 5.67"} == disc.attrib
    assert [e.attrib["id"] for e in root.iter() if "id" in e.attrib] == ["x-a", "x-a", "x-m"]
    assert not [e for e in root.iter() if "style" in e.attrib]
    text = list(root.iter(f"{SVG}text"))[-1]
    assert text.text == "1 < 2 & ♭" and text.attrib["font-style"] == "italic"
    assert (text.attrib["text-anchor"], text.attrib["fill"]) == ("end", COLOURS["ink"])


def test_what_is_not_usual_of_a_line_is_written_and_the_usual_is_not() -> None:
    line = polyline([(0, 0), (1, 0), (1, 1)])
    plain = Path(line, fill="ink", stroke="ink", width=1)
    other = Path(line, fill="ink", stroke="ink", width=1, join="miter", cap="round", opacity=0.3)
    sheet = Sheet(2, 2, (plain, other))
    usual, unusual = ET.fromstring(write_svg(sheet, COLOURS)).iter(f"{SVG}path")
    more = {"stroke-linejoin": "miter", "stroke-linecap": "round", "fill-opacity": "0.3"}
    assert unusual.attrib == {**usual.attrib, **more} and not set(more) & set(usual.attrib)


def test_what_is_shown_smaller_keeps_its_units() -> None:
    root = ET.fromstring(write_svg(SHEET, COLOURS, most=25.4))
    assert (root.attrib["width"], root.attrib["height"]) == ("25.400mm", "12.700mm")
    assert root.attrib["viewBox"] == "0 0 144.000 72.000"


def test_a_page_names_parts_and_has_each_id_once_or_none() -> None:
    root = ET.fromstring(write_figure(SHEET, "f1-", "drawing k0"))
    assert root.attrib["class"] == "drawing k0" and "width" not in root.attrib
    assert [e.attrib["id"] for e in root.iter() if "id" in e.attrib] == ["f1-a", "f1-m"]
    assert [e.attrib["data-part"] for e in root.iter() if "data-part" in e.attrib] == [*"aam"]
    assert {e.attrib["fill"] for e in root.iter("path")} == {"var(--ink)", "none"}
    assert " id=" not in write_body(SHEET, None) and "data-part" in write_body(SHEET, None)


def test_path_data_is_what_svg_says_of_it() -> None:
    """SVG 2, 9.3: moves, lines, curves by their control points, and back to the start."""
    outline = (
        ("M", ((0.0, 0.0),)),
        ("Q", ((25.4, 0.0), (25.4, 25.4))),
        ("C", ((0.0, 0.0), (12.7, 12.7), (25.4, -25.4))),
        ("Z", ()),
    )
    assert path_data(outline) == "M0 0Q72 0 72 72C0 0 36 36 72 -72Z"
