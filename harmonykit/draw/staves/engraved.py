"""What verovio has engraved, as a tree: SVG is read here and nowhere else.

Conventions.  Verovio counts its units from the top left; a sheet's width says how many of them are
a millimetre.  Its glyphs are marks, whose role is the code point in the Standard Music Font Layout
(``"E0A4"``).  Groups keep their role where they are a system, a measure, a chord symbol or the
box with a section's name, which begins where its system does.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

from harmonykit.draw.base.fonts import POINTS_PER_MM, REGULAR, SEMIBOLD, text_width
from harmonykit.draw.tree import Group, Mark, Outline, Part, Path, Sheet, Text, polyline, ring
from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from fontTools.misc.transform import Transform

# Verovio writes the signs of chord symbols as glyphs of its own font, which others lack.
_SIGNS = {"\uea64": "♭", "\uea65": "♮", "\uea66": "♯"}
_SIGN_UNITS = 405.0
GLYPH_EM = 1000
# Beside and below a box with a section's name, in mm.
_CLEAR = 0.8
_SVG = "{http://www.w3.org/2000/svg}"
_ROLES = ("system", "measure", "harm", "reh")
_BOLD, _ITALIC = ("harm", "reh", "ending", "fing", "tempo"), ("mNum", "dir", "dynam")
_ANCHORS = {"middle": 0.5, "end": 1.0}
_STEPS = {"moveTo": "M", "lineTo": "L", "curveTo": "C", "qCurveTo": "Q", "closePath": "Z"}


def read_engraving(svg: str, width_mm: float, title: str) -> Sheet:
    """Return what verovio has engraved as a sheet in mm.

    Raises
    ------
    HarmonyError
        If there is nothing on it.
    """
    from defusedxml.ElementTree import fromstring

    root: Element = fromstring(svg)
    view = next((e for e in root.iter(f"{_SVG}svg") if e.get("class") == "definition-scale"), None)
    if view is None:
        raise HarmonyError("this MusicXML has nothing to engrave")
    _, _, wide, high = (float(number) for number in view.get("viewBox", "").split())
    reader = _Reader(glyphs_in(root), width_mm / wide)
    parts = tuple(reader.parts(view, _moves(f"scale({width_mm / wide})"), _Letters()))
    return Sheet(width_mm, round(high * width_mm / wide, 3), parts, title, title)


def glyphs_in(root: Element) -> dict[str, Outline]:
    """Return the outlines of an engraving's glyphs by their ids."""
    found = {}
    for group in root.iterfind(f"{_SVG}defs/{_SVG}g"):
        steps = [
            _placed(_course(path.get("d", "")), _moves(path.get("transform", "")))
            for path in group.iter(f"{_SVG}path")
        ]
        found[group.get("id", "")] = tuple(step for outline in steps for step in outline)
    return found


@dataclass(frozen=True, slots=True)
class _Letters:
    """How the text of a group is set."""

    weight: int = REGULAR
    italic: bool = False


class _Reader:
    """Turns elements of an engraving into parts; ``mm`` is how long one of its units is."""

    def __init__(self, glyphs: dict[str, Outline], mm: float) -> None:
        self.glyphs, self.mm, self.begins = glyphs, mm, False

    def parts(self, element: Element, at: Transform, letters: _Letters) -> Iterator[Part]:
        """Yield what an element draws, from below to above."""
        for child in element:
            at_child = at.transform(_moves(child.get("transform", "")))
            match child.tag.removeprefix(_SVG):
                case "g":
                    yield from self._group(child, at_child, letters)
                case "use":
                    yield from self._glyph(child, at_child)
                case "text":
                    yield from self._text(child, at_child, letters)
                case "path" | "ellipse" | "rect" | "polygon" | "polyline":
                    yield self._path(child, at_child)

    def _group(self, group: Element, at: Transform, letters: _Letters) -> Iterator[Part]:
        names = group.get("class", "").split()
        if "placeholder" in names:
            return
        if set(names) & {*_BOLD, *_ITALIC}:
            bold, italic = bool(set(names) & {*_BOLD}), bool(set(names) & {*_ITALIC})
            letters = _Letters(SEMIBOLD if bold else REGULAR, italic)
        self.begins = self.begins or "system" in names
        parts = tuple(self.parts(group, at, letters))
        if "measure" in names and self.begins:
            parts, self.begins = _from_the_left(parts), False
        role = next((name for name in _ROLES if name in names), "")
        if role and parts:
            yield Group(parts, role=role)
        else:
            yield from parts

    def _glyph(self, use: Element, at: Transform) -> Iterator[Part]:
        name = use.get("href", "").removeprefix("#")
        if name in self.glyphs:
            outline = _placed(self.glyphs[name], at)
            x, y = at.transformPoint((0.0, 0.0))
            role, size = name.partition("-")[0], GLYPH_EM * abs(at[0])
            yield Mark(role, x, y, size, (Path(outline, fill="ink"),))

    def _text(self, element: Element, at: Transform, letters: _Letters) -> Iterator[Part]:
        """Yield runs of text of one size each, side by side."""
        runs: list[tuple[str, float]] = []
        for text, units in _runs(element):
            if runs and runs[-1][1] == units:
                runs[-1] = (runs[-1][0] + text, units)
            else:
                runs.append((text, units))
        sized = [(text, units * self.mm * POINTS_PER_MM) for text, units in runs]
        wide = [text_width(text, size, letters.weight) for text, size in sized]
        x, y = at.transformPoint((float(element.get("x", 0)), float(element.get("y", 0))))
        x -= sum(wide) * _ANCHORS.get(element.get("text-anchor", ""), 0.0)
        for (text, size), width in zip(sized, wide, strict=True):
            size = round(size, 2)
            yield Text(x, y, text, size, letters.weight, "ink", "left", letters.italic)
            x += width

    def _path(self, element: Element, at: Transform) -> Path:
        line = float(element.get("stroke-width", 0)) * self.mm
        outline = _placed(_outline(element), at)
        hollow = element.get("fill") == "none" or element.get("fill-opacity") == "0"
        drawn = element.tag == f"{_SVG}path" and all(letter in "ML" for letter, _ in outline)
        fill, stroke = "" if hollow or drawn else "ink", "ink" if line else ""
        return Path(outline, fill, stroke, line, join="miter")


def _from_the_left(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """Return a system's first measure: verovio centres its box about the left end, half outside.

    It stands above the clef, and above the chord symbols that its name reaches over.
    """
    left = min((part.box.left for part in parts if part.role != "reh"), default=0.0)
    others = [part.box for part in parts if isinstance(part, Mark) or part.role == "harm"]
    placed = []
    for part in parts:
        if part.role == "reh":
            part = part.moved(left - part.box.left, 0.0)
            below = [each.top for each in others if each.left < part.box.right + _CLEAR]
            part = part.moved(0.0, min(0.0, min(below, default=99.0) - _CLEAR - part.box.bottom))
        placed.append(part)
    return tuple(placed)


def _runs(element: Element) -> Iterator[tuple[str, float]]:
    """Yield each run of a text with its size in units, its signs as our fonts have them."""
    for run in element.iter(f"{_SVG}tspan"):
        size = run.get("font-size", "").removesuffix("px")
        if size and run.text and not len(run):
            sign = _SIGNS.get(run.text)
            yield (sign, _SIGN_UNITS) if sign else (run.text, float(size))


def _outline(element: Element) -> Outline:
    def number(name: str) -> float:
        return float(element.get(name, 0))

    match element.tag.removeprefix(_SVG):
        case "ellipse":
            wide, high = number("rx"), number("ry")
            return _placed(
                ring(0.0, 0.0, 2.0),
                _moves(f"translate({number('cx')},{number('cy')}) scale({wide},{high})"),
            )
        case "rect":
            x, y, right, low = number("x"), number("y"), number("width"), number("height")
            corners = [(x, y), (x + right, y), (x + right, y + low), (x, y + low)]
            return polyline(corners, closed=True)
        case "polygon" | "polyline":
            flat = [float(n) for n in element.get("points", "").replace(",", " ").split()]
            points = list(zip(flat[::2], flat[1::2], strict=True))
            return polyline(points, closed=element.tag.endswith("polygon"))
    return _course(element.get("d", ""))


def _course(data: str) -> Outline:
    """Return path data as an outline."""
    from fontTools.pens.recordingPen import RecordingPen
    from fontTools.svgLib.path import parse_path

    pen = RecordingPen()
    parse_path(data, pen)
    return tuple((_STEPS[verb], tuple(at)) for verb, at in pen.value if verb in _STEPS)


def _moves(text: str) -> Transform:
    """Return what a ``transform`` says: moved, scaled or turned, one after the other."""
    from fontTools.misc.transform import Identity

    moved = Identity
    for step in text.split(")")[:-1]:
        name, _, said = step.strip(" ,").partition("(")
        numbers = [float(number) for number in said.replace(",", " ").split()]
        if name == "translate":
            moved = moved.translate(*numbers)
        elif name == "scale":
            moved = moved.scale(*numbers)
        elif name == "rotate":
            turn, x, y = (*numbers, 0.0, 0.0)[:3]
            moved = moved.translate(x, y).rotate(math.radians(turn)).translate(-x, -y)
    return moved


def _placed(outline: Outline, at: Transform) -> Outline:
    return tuple((letter, tuple(map(at.transformPoint, points))) for letter, points in outline)
