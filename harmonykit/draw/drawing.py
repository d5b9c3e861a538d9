"""A finished figure: its tree, its palette, and how it is shown and saved with the letters it uses.

Whoever shows it may lack our fonts, and may show it on a dark page.  So it brings along the letters
that it uses, cut from our fonts, and its colours for a dark screen.  Programs that know no style
sheets show it as it is drawn: in the reader's own face, on white.  Print stays black on white.  The
same figure gives the same bytes.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator
from functools import cached_property, lru_cache
from itertools import groupby
from pathlib import Path
from typing import Any

from harmonykit.draw.base import fonts, web
from harmonykit.draw.base.colours import PALETTES, palette
from harmonykit.draw.svg import VARIABLES, write_svg
from harmonykit.draw.tree import Path as DrawnPath
from harmonykit.draw.tree import Sheet, Text, renamed
from harmonykit.files import write_whole
from harmonykit.values import dataclass, replace

CLASS = "hk-still"
# A file is no font to be installed: what is embedded in a document needs no licence beside it.
_NOTE = f"/* {web.TEXT} and {web.SIGNS}: SIL Open Font License 1.1 */"
_FILES = {
    (face, weight): file
    for weight, files in fonts.FILES.items()
    for face, file in zip((web.TEXT, web.SIGNS), files, strict=True)
}
# Seconds since 1904: 1 January 2026.
_DATE = 3_850_070_400


def write_still(sheet: Sheet, colours: str, most: float | None = None) -> str:
    """Return a figure with its letters, its paper, and its colours for a dark screen.

    Parameters
    ----------
    sheet : Sheet
    colours : str
        The name of a palette.
    most : float, optional
        How wide it is shown at most, in mm.

    Examples
    --------
    >>> from harmonykit.draw.tree import Text
    >>> made = write_still(Sheet(10, 10, (Text(5, 5, "A♭", 9),)), "colour")
    >>> made.count("@font-face"), made.count("prefers-color-scheme")
    (2, 1)
    """
    paper = PALETTES["dark" if colours == "dark" else "colour"].paper
    dark = _dark_rules(sheet) if colours == "colour" else ""
    style = f"<style>{_NOTE}\n{''.join(_faces(sheet))}{dark}</style>\n"
    looks = [("style", f"background:{paper}"), ("class", CLASS)]
    return write_svg(sheet, palette(colours).tokens, most=most, looks=looks, style=style)


def _dark_rules(sheet: Sheet) -> str:
    """Return the rules that a dark screen follows."""
    light, dark = PALETTES["colour"].tokens, PALETTES["dark"].tokens
    paths, texts = sheet.all(DrawnPath), sheet.all(Text)
    used = {("fill", token) for token in (*(p.fill for p in paths), *(t.colour for t in texts))}
    used |= {("stroke", path.stroke) for path in paths}
    rules = [f".{CLASS}{{background:{dark['paper']}!important}}"]
    for name, token in sorted(used):
        if token:
            rule = f"{{{name}:{dark[token]}!important}}"
            rules.append(f'.{CLASS} [{name}="{light[token]}"]{rule}')
    return f"@media screen and (prefers-color-scheme:dark){{{''.join(rules)}}}"


def _faces(sheet: Sheet) -> Iterator[str]:
    """Yield a rule for each face that the figure uses, with those of its letters that it uses."""
    used = {weight: set[int]() for weight in fonts.FILES}
    for text in sheet.all(Text):
        used[text.weight] |= set(map(ord, text.text))
    for (family, weight), file in _FILES.items():
        letters = used[weight] & fonts.glyph_names(file).keys()
        if family == web.SIGNS:
            letters -= fonts.glyph_names(_FILES[web.TEXT, weight]).keys()
        if letters:
            data = base64.b64encode(_cut(file, family, tuple(sorted(letters)))).decode("ascii")
            yield (
                f'@font-face{{font-family:"{family}";font-weight:{weight};'
                f'src:url(data:font/ttf;base64,{data}) format("truetype");'
                f"unicode-range:{_ranges(sorted(letters))}}}\n"
            )


def _ranges(codes: list[int]) -> str:
    """Return code points as CSS ranges: several figures on a page have letters of their own each.

    Examples
    --------
    >>> _ranges([0x41, 0x42, 0x43, 0x266D])
    'U+41-43,U+266D'
    """
    found = []
    for _, group in groupby(enumerate(codes), key=lambda item: item[1] - item[0]):
        run = [code for _, code in group]
        found.append(f"U+{run[0]:X}-{run[-1]:X}" if len(run) > 1 else f"U+{run[0]:X}")
    return ",".join(found)


@lru_cache(maxsize=1024)
def _glyph(file: str, code: int) -> tuple[Any, tuple[int, int]]:
    """Return the outline of a letter, and its advance and left bearing."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    font = fonts.open_font(file)
    name, glyphs = font.getBestCmap()[code], font.getGlyphSet()
    outline, pen = DecomposingRecordingPen(glyphs), TTGlyphPen(None)
    glyphs[name].draw(outline)
    outline.replay(pen)
    return pen.glyph(), font["hmtx"][name]


@lru_cache(maxsize=128)
def _cut(file: str, family: str, letters: tuple[int, ...]) -> bytes:
    """Return a font with some letters of another, under our name for it."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    source = fonts.open_font(file)
    names = {code: f"g{index}" for index, code in enumerate(letters, 1)}
    drawn = {names[code]: _glyph(file, code) for code in letters}
    drawn = {".notdef": (TTGlyphPen(None).glyph(), (500, 0)), **drawn}
    heights = source["hhea"]
    builder = FontBuilder(source["head"].unitsPerEm, isTTF=True)
    builder.setupGlyphOrder(list(drawn))
    builder.setupCharacterMap(names)
    builder.setupGlyf({name: glyph for name, (glyph, _) in drawn.items()})
    builder.setupHorizontalMetrics({name: metrics for name, (_, metrics) in drawn.items()})
    builder.setupHorizontalHeader(ascent=heights.ascent, descent=heights.descent, lineGap=0)
    builder.setupNameTable({"familyName": family, "styleName": "Regular"}, mac=False)
    builder.setupOS2(usWeightClass=source["OS/2"].usWeightClass, achVendID="NONE")
    builder.setupPost(keepGlyphNames=False)
    builder.updateHead(created=_DATE, modified=_DATE)
    builder.font.recalcTimestamp = False
    made = io.BytesIO()
    builder.font.save(made)
    return made.getvalue()


# What is left for a figure of a notebook on a screen of 1024 px, beside the list of files.
SCREEN_MM = 152.0


@dataclass(frozen=True)
class Drawing:
    """A finished figure.

    Its text is live text in our fonts, with the reader's own sans-serif behind them: it holds
    together in Liberation Sans and DejaVu Sans, and names have space for a face a quarter wider.
    What shows figures as elements of its own, a page or a panel, brings the faces along once; what
    stands alone, in a notebook or as a file, brings along the letters that it uses.

    Parameters
    ----------
    sheet : Sheet
        What is drawn, its size, and the fact that it states in words.
    origin_mm : (float, float)
        Where the figure's own first corner stands (for a box: first string at the nut), right
        and down from the top left, so that a row of figures can be set level.
    colours : str
        The name of its palette.
    """

    sheet: Sheet
    origin_mm: tuple[float, float] = (0.0, 0.0)
    colours: str = "colour"

    def saying(self, alt: str) -> Drawing:
        """Return the drawing with another description of what it shows.

        Parameters
        ----------
        alt : str
            What is said in place of the picture.

        Returns
        -------
        Drawing

        Examples
        --------
        >>> hk.draw.clock("C6").saying("C E G A on the clock").alt
        'C E G A on the clock'
        """
        return replace(self, sheet=replace(self.sheet, alt=alt))

    @property
    def alt(self) -> str:
        """The fact that the figure states, in words."""
        return self.sheet.alt

    @property
    def width_mm(self) -> float:
        """How wide it is to be shown."""
        return self.sheet.width

    @property
    def height_mm(self) -> float:
        """How high it is to be shown."""
        return self.sheet.height

    @cached_property
    def svg(self) -> str:
        """One ``<svg>`` element, without a prologue."""
        return write_svg(self.sheet, palette(self.colours).tokens)

    def for_page(self, prefix: str = "") -> str:
        """Return the SVG for a web page: colours as CSS variables, ids behind a prefix.

        Parameters
        ----------
        prefix : str
            What ids begin with.

        Returns
        -------
        str

        Examples
        --------
        >>> "var(--" in hk.draw.clock("C6").for_page()
        True
        """
        return write_svg(self.sheet, VARIABLES, prefix)

    def prefixed(self, prefix: str) -> Drawing:
        """Return the drawing with every id behind a prefix, so that it may share a page.

        Parameters
        ----------
        prefix : str
            What ids begin with.

        Returns
        -------
        Drawing

        Examples
        --------
        >>> 'id="first-' in hk.draw.clock("C6").prefixed("first-").svg
        True
        """
        parts = tuple(renamed(part, prefix) for part in self.sheet.parts)
        return replace(self, sheet=replace(self.sheet, parts=parts))

    def alone(self) -> str:
        """Return the SVG with the letters that it uses and its colours for a dark screen.

        Returns
        -------
        str
        """
        return write_still(self.sheet, self.colours)

    def save(self, path: str | Path) -> Path:
        """Write the SVG to a file as UTF-8, with an XML prologue; it stands alone.

        Parameters
        ----------
        path : str or Path
            Where the file is.

        Returns
        -------
        Path

        Examples
        --------
        >>> from tempfile import mkdtemp
        >>> path = hk.draw.box("0003", "C").save(mkdtemp() + "/c.svg")
        >>> path.name, path.read_text("utf-8").startswith("<?xml")
        ('c.svg', True)
        """
        target = Path(path)
        write_whole(target, self.as_file())
        return target

    def as_file(self) -> str:
        """Return the SVG as a file holds it, with an XML prologue.

        Returns
        -------
        str
        """
        return f'<?xml version="1.0" encoding="utf-8"?>\n{self.alone()}\n'

    def _repr_mimebundle_(self, **_asked: object) -> dict[str, str]:
        # A notebook cuts off what is wider than its cell.
        shown = write_still(self.sheet, self.colours, SCREEN_MM)
        return {"image/svg+xml": shown, "text/plain": self.alt}

    def __repr__(self) -> str:
        return f"<Drawing {self.width_mm:g} x {self.height_mm:g} mm: {self.alt}>"
