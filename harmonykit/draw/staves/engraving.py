"""MusicXML engraved by verovio, as a drawing, with shapes under its staff where they are asked for.

Conventions.  Shapes are read from the frames of the score (MusicXML 4.0, ``frame``): string 1 is
drawn on the right, a string without a note is muted.  Every system is moved down by the room that
the shapes of those above it take.  Lengths are in millimetres.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, ParseError, tostring

from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.draw.staves.engraved import glyphs_in, read_engraving
from harmonykit.draw.tree import Anchor, Group, Mark, Outline, Part, Point, Sheet, walk
from harmonykit.draw.tree import Path as DrawnPath
from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass, replace

# Between strings, between frets, from the staff to the shape and from the shape to what follows.
_STRING, _FRET, _ABOVE, _BELOW = 1.6, 2.0, 3.8, 2.5
_BETWEEN = 2.4
# Half a note head: a shape is centred under it.
_HALF_HEAD = 0.9
_SMALLEST = 0.5
_THIN, _NUT, _TEXT_PT = 0.15, 0.5, 5.95


@dataclass(frozen=True, slots=True)
class Frame:
    """A shape as a score gives it: frets from string 1 to the last, the first fret, the rows."""

    frets: tuple[int | None, ...]
    first: int
    rows: int


def frames_of(root: Element) -> list[Frame | None]:
    """Return for each chord symbol of a score its shape, or None."""
    return [
        None if (frame := harmony.find("frame")) is None else _frame(frame)
        for harmony in root.iter("harmony")
    ]


def _frame(element: Element) -> Frame:
    def number(name: str, usual: int, most: int) -> int:
        text = element.findtext(name) or str(usual)
        return min(max(int(text), 1), most) if text.strip().isdigit() else usual

    count = number("frame-strings", 6, 12)
    frets: list[int | None] = [None] * count
    for note in element.iterfind("frame-note"):
        string, fret = note.findtext("string") or "", note.findtext("fret") or ""
        if string.isdigit() and fret.isdigit() and 1 <= int(string) <= count:
            frets[int(string) - 1] = int(fret)
    return Frame(tuple(frets), number("first-fret", 1, 36), number("frame-frets", 4, 12))


def add_shapes(sheet: Sheet, frames: Sequence[Frame | None]) -> Sheet:
    """Return an engraved sheet with shapes under its staves, a frame for each chord symbol.

    Raises
    ------
    HarmonyError
        If the sheet has other symbols than the score.
    """
    systems = sheet.all(Group, "system")
    if not systems:
        raise HarmonyError("this sheet has no systems of an engraved score")
    symbols = [[p for p in walk([s]) if p.role == "harm"] for s in systems]
    if (count := sum(map(len, symbols))) != len(frames):
        raise HarmonyError(f"{count} of {len(frames)} chord symbols are engraved")
    space, taken, parts = _room(frames), 0, []
    for number, (system, named) in enumerate(zip(systems, symbols, strict=True)):
        here = frames[taken : taken + len(named)]
        drawn = _under(system, [symbol.box.left for symbol in named], here)
        parts.append(replace(system, parts=(*system.parts, *drawn)).moved(0, number * space))
        taken += len(named)
    return replace(sheet, parts=tuple(parts), height=sheet.height + len(systems) * space)


def _room(frames: Sequence[Frame | None]) -> float:
    rows = max((frame.rows for frame in frames if frame), default=0)
    return _ABOVE + rows * _FRET + _BELOW if rows else 0.0


def _under(
    system: Group, places: Sequence[float], frames: Sequence[Frame | None]
) -> tuple[Part, ...]:
    """Return the shapes of a system, each under its symbol."""
    top = max(map(_foot, walk([system]))) + _ABOVE
    canvas = Canvas(0.0, 0.0)
    for frame, x, size in zip(frames, places, _sizes(frames, places), strict=True):
        if frame is not None:
            said = " ".join("x" if fret is None else str(fret) for fret in reversed(frame.frets))
            with canvas.group(None, "shape", f"frets {said}"):
                _Shape(canvas, frame, x + _HALF_HEAD, top, size).draw()
    return canvas.parts


def _foot(part: Part) -> float:
    """Return how low a part reaches: of a glyph its middle, for a clef hangs below its staff."""
    if isinstance(part, Mark):
        return part.y
    return part.box.bottom if isinstance(part, DrawnPath) and part.stroke else 0.0


def _sizes(frames: Sequence[Frame | None], places: Sequence[float]) -> Iterator[float]:
    """Yield how large each shape may be: it leaves its neighbours their room."""
    widths = [(len(frame.frets) - 1) * _STRING if frame else 0.0 for frame in frames]
    nearest = min((abs(b - a) for a, b in pairwise(sorted(places))), default=99.0)
    for width in widths:
        fits = (nearest - _BETWEEN) / width if width else 1.0
        yield min(1.0, max(_SMALLEST, fits))


class _Shape:
    """A shape's lines and marks, scaled about its middle at the nut."""

    def __init__(
        self, canvas: Canvas, frame: Frame, middle: float, top: float, size: float
    ) -> None:
        self.canvas, self.frame, self.size = canvas, frame, size
        self.middle, self.top = middle, top
        self.wide = (len(frame.frets) - 1) * _STRING

    def at(self, x: float, y: float) -> Point:
        """Return a place of the shape on the sheet."""
        return self.middle + self.size * x, self.top + self.size * y

    def draw(self) -> None:
        """Draw the grid, the nut or the first fret's number, and the marks."""
        strings, rows, left = len(self.frame.frets), self.frame.rows, -self.wide / 2
        high = rows * _FRET
        grid = [
            [self.at(left + n * _STRING, 0), self.at(left + n * _STRING, high)]
            for n in range(strings)
        ]
        across = [[self.at(left, n * _FRET), self.at(-left, n * _FRET)] for n in range(rows + 1)]
        self.canvas.lines([*grid, *across], _THIN * self.size)
        if self.frame.first == 1:
            self.canvas.lines([across[0]], _NUT * self.size)
        else:
            self._text(str(self.frame.first), left - 0.9, _FRET * 0.5 + 0.75, "right")
        for n, fret in enumerate(self.frame.frets):
            self._mark(fret, left + (strings - 1 - n) * _STRING)

    def _mark(self, fret: int | None, x: float) -> None:
        if fret is None:
            self._text("×", x, -0.5, "center")
        elif fret == 0:
            at, across, line = self.at(x, -0.95), 0.9 * self.size, _THIN * self.size
            self.canvas.circle(*at, across, stroke="ink", width=line)
        else:
            y = (fret - self.frame.first + 0.5) * _FRET
            self.canvas.circle(*self.at(x, y), 1.24 * self.size, fill="ink")

    def _text(self, text: str, x: float, y: float, anchor: Anchor) -> None:
        self.canvas.text(*self.at(x, y), text, _TEXT_PT * self.size, anchor=anchor)


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
        # The arc between two syllables on one note as a letter of our fonts.
        "lyricElision": "unicode",
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
