"""MusicXML engraved by verovio, and what it engraves as a tree: SVG is read here and nowhere else.

Conventions.  Verovio counts its units from the top left; a sheet's width says how many of them are
a millimetre.  Its glyphs are marks, whose role is the code point in the Standard Music Font Layout
(``"E0A4"``).  Groups keep their role where they are a system, a measure or a chord symbol.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import Element, ParseError, tostring

from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.style import POINTS_PER_MM, REGULAR, SEMIBOLD
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.staves.engraved_shapes import add_shapes, frames_of
from harmonykit.draw.tree import Group, Mark, Outline, Part, Path, Sheet, Text, polyline, ring
from harmonykit.errors import HarmonyError

if TYPE_CHECKING:
    from fontTools.misc.transform import Transform

# Verovio counts a tenth of a millimetre at scale 100; at 85 a staff is 6.1 mm high and a chord
# symbol 9.8 points.
_SCALE = 85
_TENTHS = 10
_HIGHEST_PAGE = 60_000
_OWN_LINES: dict[str, int | str | bool] = {"breaks": "encoded", "minLastJustification": 0}
# It writes the accidentals of chord symbols as glyphs of its own font, which other renderers lack.
_SIGNS = {"\uea64": "♭", "\uea65": "♮", "\uea66": "♯"}
_SIGN_UNITS = 405.0
GLYPH_EM = 1000
TREBLE_CLEF = "E050"
_SVG = "{http://www.w3.org/2000/svg}"
_ROLES = ("system", "measure", "harm")
_BOLD, _ITALIC = ("harm", "reh", "ending", "fing", "tempo"), ("mNum", "dir", "dynam")
_ANCHORS = {"middle": 0.5, "end": 1.0}
_STEPS = {"moveTo": "M", "lineTo": "L", "curveTo": "C", "qCurveTo": "Q", "closePath": "Z"}


def engrave(
    musicxml: str,
    width_mm: float = 174.0,
    colours: str = "colour",
    *,
    shapes: bool = False,
    own_lines: bool = False,
) -> Drawing:
    """Return a score as a drawing, as high as it needs to be.

    The tempo is left to the sheet around it, and a chord symbol is what the kind's text says.

    Parameters
    ----------
    musicxml : str
    width_mm : float
        Of the page.
    colours : str
        The name of a palette.
    shapes : bool
        Whether the frames of the score are drawn under the staff.
    own_lines : bool
        Whether lines end where the score says so, and all are as wide as the page.

    Raises
    ------
    HarmonyError
        If the text cannot be engraved.
    """
    root = _parsed(musicxml)
    _keep_kinds_text_alone(root)
    _leave_out_tempo(root)
    _leave_out_alternates(root)
    toolkit = engraver()
    toolkit.setOptions(_options(width_mm) | (_OWN_LINES if own_lines else {}))
    if not toolkit.loadData(tostring(root, encoding="unicode")):
        raise HarmonyError("this MusicXML cannot be engraved")
    title = root.findtext("work/work-title") or "score"
    sheet = _read(toolkit.renderToSVG(1), width_mm, title)
    return Drawing(add_shapes(sheet, frames_of(root)) if shapes else sheet, colours=colours)


def engraver() -> Any:
    """Return verovio's toolkit, in whatever thread: each thread has to be told of its fonts."""
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    verovio.setDefaultResourcePath(str(FilePath(verovio.__file__).parent / "data"))
    return verovio.toolkit()


def _parsed(musicxml: str) -> Element:
    from defusedxml.ElementTree import fromstring

    try:
        root: Element = fromstring(musicxml)
    except ParseError as error:
        raise HarmonyError(f"this is not XML: {error}") from error
    return root


def _options(width_mm: float) -> dict[str, float | str | bool]:
    return {
        "xmlIdSeed": 1,
        "scale": _SCALE,
        "pageWidth": round(width_mm * _TENTHS * 100 / _SCALE),
        "pageHeight": _HIGHEST_PAGE,
        "adjustPageHeight": True,
        # Room for the bar numbers, which stand left of their bar line.
        "pageMarginLeft": 30,
        "pageMarginRight": 0,
        "header": "none",
        "footer": "none",
        "breaks": "auto",
        # A last line that is half full is as wide as the others.
        "minLastJustification": 0.5,
        "svgViewBox": True,
        "svgRemoveXlink": True,
    }


def _keep_kinds_text_alone(root: Element) -> None:
    """Take out degrees that the kind's text says: verovio would print them a second time."""
    for harmony in root.iter("harmony"):
        for degree in harmony.findall("degree"):
            if degree.get("print-object") == "no":
                harmony.remove(degree)


def _leave_out_alternates(root: Element) -> None:
    """Take out chords that are offered instead of others: they would be printed over them."""
    for measure in root.iter("measure"):
        for harmony in measure.findall("harmony"):
            if harmony.get("type") == "alternate":
                measure.remove(harmony)


def _leave_out_tempo(root: Element) -> None:
    """Take out metronome marks: their note is a glyph of a font that others lack."""
    for measure in root.iter("measure"):
        for direction in measure.findall("direction"):
            if direction.find("direction-type/metronome") is not None:
                measure.remove(direction)


def _read(svg: str, width_mm: float, title: str) -> Sheet:
    """Return what verovio has engraved as a sheet in mm."""
    from defusedxml.ElementTree import fromstring

    root: Element = fromstring(svg)
    view = next((e for e in root.iter(f"{_SVG}svg") if e.get("class") == "definition-scale"), None)
    if view is None:
        raise HarmonyError("this MusicXML has nothing to engrave")
    _, _, wide, high = (float(number) for number in view.get("viewBox", "").split())
    reader = _Reader(_glyphs(root), width_mm / wide)
    parts = tuple(reader.parts(view, _moves(f"scale({width_mm / wide})"), _Letters()))
    return Sheet(width_mm, round(high * width_mm / wide, 3), parts, title, title)


@dataclass(frozen=True, slots=True)
class _Letters:
    """How the text of a group is set."""

    weight: int = REGULAR
    italic: bool = False


class _Reader:
    """Turns elements of an engraving into parts; ``mm`` is how long one of its units is."""

    def __init__(self, glyphs: dict[str, Outline], mm: float) -> None:
        self.glyphs, self.mm = glyphs, mm

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
        parts = tuple(self.parts(group, at, letters))
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


def _glyphs(root: Element) -> dict[str, Outline]:
    """Return the outlines of an engraving's glyphs by their ids."""
    found = {}
    for group in root.iterfind(f"{_SVG}defs/{_SVG}g"):
        steps = [
            _placed(_course(path.get("d", "")), _moves(path.get("transform", "")))
            for path in group.iter(f"{_SVG}path")
        ]
        found[group.get("id", "")] = tuple(step for outline in steps for step in outline)
    return found


@lru_cache(maxsize=8)
def glyph_outline(code: str) -> Outline:
    """Return the outline of a glyph of the engraver's font, in thousandths of the em, y downwards.

    Parameters
    ----------
    code : str
        Its code point in the Standard Music Font Layout; one that a treble staff has.
    """
    from defusedxml.ElementTree import fromstring

    toolkit = engraver()
    toolkit.setOptions({"xmlIdSeed": 1, "header": "none", "footer": "none"})
    toolkit.loadData(_CLEF)
    for name, outline in _glyphs(fromstring(toolkit.renderToSVG(1))).items():
        if name.partition("-")[0] == code:
            return outline
    raise HarmonyError(f"the engraver has no glyph {code}")


_CLEF = (
    '<score-partwise version="4.0"><part-list><score-part id="P"><part-name/></score-part>'
    '</part-list><part id="P"><measure number="1"><attributes><divisions>1</divisions><clef>'
    "<sign>G</sign><line>2</line></clef></attributes><note><rest/><duration>4</duration>"
    "<type>whole</type></note></measure></part></score-partwise>"
)
