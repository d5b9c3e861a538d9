"""MusicXML engraved by verovio, as a drawing; ``engraved`` reads what it has drawn."""

from functools import lru_cache
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, ParseError, tostring

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.staves.engraved import glyphs_in, read_engraving
from harmonykit.draw.staves.engraved_shapes import add_shapes, frames_of
from harmonykit.draw.tree import Outline
from harmonykit.errors import HarmonyError

# Verovio counts a tenth of a millimetre at scale 100; at 85 a staff is 6.1 mm high and a chord
# symbol 9.8 points.
_SCALE = 85
_TENTHS = 10
_HIGHEST_PAGE = 60_000
_OWN_LINES: dict[str, int | str | bool] = {"breaks": "encoded", "minLastJustification": 0}
TREBLE_CLEF = "E050"


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
    sheet = read_engraving(toolkit.renderToSVG(1), width_mm, title)
    return Drawing(add_shapes(sheet, frames_of(root)) if shapes else sheet, colours=colours)


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
    for name, outline in glyphs_in(fromstring(toolkit.renderToSVG(1))).items():
        if name.partition("-")[0] == code:
            return outline
    raise HarmonyError(f"the engraver has no glyph {code}")


_CLEF = (
    '<score-partwise version="4.0"><part-list><score-part id="P"><part-name/></score-part>'
    '</part-list><part id="P"><measure number="1"><attributes><divisions>1</divisions><clef>'
    "<sign>G</sign><line>2</line></clef></attributes><note><rest/><duration>4</duration>"
    "<type>whole</type></note></measure></part></score-partwise>"
)
