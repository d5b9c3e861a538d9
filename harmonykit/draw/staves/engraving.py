"""MusicXML engraved as SVG, by verovio."""

from __future__ import annotations

import re
from functools import lru_cache
from html import escape
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, ParseError, tostring

from harmonykit.draw.base.style import FAMILIES, SEMIBOLD, palette
from harmonykit.draw.staves.engraved_shapes import add_shapes, frames_of
from harmonykit.draw.tree import Outline
from harmonykit.errors import HarmonyError

# Verovio counts a tenth of a millimetre at scale 100; at 85 a staff is 6.1 mm high and a chord
# symbol 9.8 points.
_SCALE = 85
_TENTHS = 10
_HIGHEST_PAGE = 60_000
_OWN_LINES: dict[str, float | str | bool] = {"breaks": "encoded", "minLastJustification": 0}
# It writes the accidentals of chord symbols as glyphs of its own font, which other renderers lack.
_GLYPHS = {"\uea64": "♭", "\uea65": "♮", "\uea66": "♯"}
_GLYPH_RUN = re.compile(r'<tspan font-family="Leipzig" font-size="\d+px">(.)</tspan>')
_FONT_FACE = re.compile(r"<style[^>]*>\s*@font-face.*?</style>\s*", re.S)
_SIZE = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')
_TEXT_PX = '<tspan font-size="405px">'


def engrave(
    musicxml: str,
    width_mm: float = 174.0,
    colours: str = "colour",
    *,
    shapes: bool = False,
    own_lines: bool = False,
) -> str:
    """Return a score as one SVG, as high as it needs to be.

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
    svg: str = toolkit.renderToSVG(1)
    if shapes:
        svg = add_shapes(svg, frames_of(root))
    return _dressed(svg, width_mm, root.findtext("work/work-title") or "score", colours)


def engraver() -> Any:
    """Return verovio's toolkit, in whatever thread: each thread has to be told of its fonts."""
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    verovio.setDefaultResourcePath(str(Path(verovio.__file__).parent / "data"))
    return verovio.toolkit()


def _parsed(musicxml: str) -> Element:
    from defusedxml.ElementTree import fromstring

    try:
        root: Element = fromstring(musicxml)
    except ParseError as error:
        raise HarmonyError(f"this is no XML: {error}") from error
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


def _dressed(svg: str, width_mm: float, title: str, colours: str) -> str:
    """Return verovio's SVG with our fonts, signs, ink and size."""
    svg = _FONT_FACE.sub("", svg)
    svg = _GLYPH_RUN.sub(lambda run: f"{_TEXT_PX}{_GLYPHS.get(run[1], run[1])}</tspan>", svg)
    svg = svg.replace('font-family="Times, serif"', f'font-family="{FAMILIES}"')
    svg = svg.replace('color="black"', f'color="{palette(colours).ink}" fill="currentColor"')
    svg = svg.replace('class="harm"', f'class="harm" font-weight="{SEMIBOLD}"')
    found = _SIZE.search(svg)
    if found is None:
        raise HarmonyError("this MusicXML has nothing to engrave")
    height = width_mm * float(found[2]) / float(found[1])
    size = f'width="{width_mm:.3f}mm" height="{height:.3f}mm"'
    return svg.replace("<svg ", f'<svg {size} role="img" aria-label="{escape(title)}" ', 1)


@lru_cache(maxsize=8)
def glyph_outline(code: str) -> Outline:
    """Return the outline of a glyph of the engraver's font, in units of the font, y upwards.

    Parameters
    ----------
    code : str
        Its code point in the Standard Music Font Layout: ``"E050"``.
    """
    from defusedxml.ElementTree import fromstring
    from fontTools.pens.recordingPen import RecordingPen
    from fontTools.svgLib.path import parse_path

    toolkit = engraver()
    toolkit.setOptions({"xmlIdSeed": 1, "header": "none", "footer": "none"})
    toolkit.loadData(_CLEF)
    for group in fromstring(toolkit.renderToSVG(1)).iter(f"{SVG}g"):
        if group.get("id", "").startswith(code):
            pen = RecordingPen()
            for path in group.iter(f"{SVG}path"):
                parse_path(path.get("d", ""), pen)
            return tuple((_LETTERS[verb], tuple(at)) for verb, at in pen.value)
    raise HarmonyError(f"the engraver has no glyph {code}")


GLYPH_EM = 1000
TREBLE_CLEF = "E050"
SVG = "{http://www.w3.org/2000/svg}"
_LETTERS = {"moveTo": "M", "lineTo": "L", "curveTo": "C", "qCurveTo": "Q", "closePath": "Z",
            "endPath": ""}  # fmt: skip
_CLEF = (
    '<score-partwise version="4.0"><part-list><score-part id="P"><part-name/></score-part>'
    '</part-list><part id="P"><measure number="1"><attributes><divisions>1</divisions><clef>'
    "<sign>G</sign><line>2</line></clef></attributes><note><rest/><duration>4</duration>"
    "<type>whole</type></note></measure></part></score-partwise>"
)
