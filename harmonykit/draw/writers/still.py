"""A figure that stands alone: in a notebook's output, or as a file.

Whoever shows it may lack our fonts, and may show it on a dark page.  So it brings along the letters
that it uses, cut from our fonts, and its colours for a dark screen.  Programs that know no style
sheets show it as it is drawn: in the reader's own face, on white.  Print stays black on white.  The
same figure gives the same bytes.
"""

from __future__ import annotations

import base64
import io
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache
from itertools import groupby
from typing import Any
from xml.etree.ElementTree import Element

from harmonykit.draw.base.faces import SIGNS, TEXT
from harmonykit.draw.base.fonts import FILES, glyph_names, open_font
from harmonykit.draw.base.style import PALETTES, REGULAR, SEMIBOLD

CLASS = "hk-still"
# A file is no font to be installed: what is embedded in a document needs no licence beside it.
_NOTE = f"/* {TEXT} and {SIGNS}: SIL Open Font License 1.1 */"
_FILES = {
    (face, weight): file
    for weight, files in FILES.items()
    for face, file in zip((TEXT, SIGNS), files, strict=True)
}
# Seconds since 1904: 1 January 2026.
_DATE = 3_850_070_400
_WEIGHT = re.compile(r"font(?:-weight)?:\s*(?:italic\s+)?(bold|[1-9]00)\b")
_OWN_STYLE = re.compile(r"<style[^>]*>(?:\s*<!\[CDATA\[)?(.*?)(?:\]\]>\s*)?</style>", re.S)
_COLOURED = re.compile(r'(fill|stroke|color)(?:="|:\s*)(#[0-9a-f]{6})\b')
_HEX = re.compile(r"#[0-9a-f]{6}\b")
_ROOT = re.compile(r"<svg\b[^>]*>")


def stand_alone(svg: str) -> str:
    """Return a figure with its letters, its paper, and its colours for a dark screen.

    Parameters
    ----------
    svg : str
        One ``<svg>`` element.

    Examples
    --------
    >>> made = stand_alone('<svg xmlns="http://www.w3.org/2000/svg"><text>A♭</text></svg>')
    >>> made.count("@font-face"), made.count("prefers-color-scheme")
    (2, 0)
    """
    paper = PALETTES["dark" if PALETTES["dark"].ink in svg else "colour"].paper
    style = f"<style>{_NOTE}\n{''.join(_faces(svg))}{_dark_rules(svg)}</style>"
    root = _ROOT.search(svg)
    if root is None:
        return svg
    head = _with_class(root[0]).replace("<svg ", f'<svg style="background:{paper}" ', 1)
    return f"{svg[: root.start()]}{head}\n{style}{svg[root.end() :]}"


def _with_class(head: str) -> str:
    if ' class="' in head:
        return head.replace(' class="', f' class="{CLASS} ', 1)
    return head.replace("<svg", f'<svg class="{CLASS}"', 1)


def _dark_rules(svg: str) -> str:
    """Return the rules that a dark screen follows; none for a figure in other colours."""
    light, dark = PALETTES["colour"], PALETTES["dark"]
    if not any(colour in svg for colour in (light.ink, light.soft, light.hair)):
        return ""
    swap = dict(zip(light.tokens.values(), dark.tokens.values(), strict=True))
    own = "".join(_OWN_STYLE.findall(svg))
    rules = [f".{CLASS}{{background:{dark.paper}!important}}"]
    for name, colour in sorted(set(_COLOURED.findall(_OWN_STYLE.sub("", svg)))):
        if colour in swap:
            # Told of no ancestor: what a figure uses again and again is a tree of its own.
            where = f'[{name}="{colour}"],[style*="{name}: {colour}"]'
            rules.append(f"{where}{{{name}:{swap[colour]}!important}}")
    rules.append(_HEX.sub(lambda found: swap.get(found[0], found[0]), own))
    return f"@media screen and (prefers-color-scheme:dark){{{''.join(rules)}}}"


def _faces(svg: str) -> Iterator[str]:
    """Yield a rule for each face that the figure uses, with those of its letters that it uses."""
    for (family, weight), file in _FILES.items():
        known = glyph_names(file).keys()
        letters = {ord(sign) for sign in _used(svg).get(weight, ())} & known
        if family == SIGNS:
            letters -= glyph_names(_FILES[TEXT, weight]).keys()
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


@lru_cache(maxsize=64)
def _used(svg: str) -> dict[int, frozenset[str]]:
    """Return the signs of a figure's text, by weight; all in both where a style sheet sets them."""
    from xml.etree.ElementTree import fromstring

    found: dict[int, set[str]] = defaultdict(set)
    styled = bool(_OWN_STYLE.search(svg))
    for weight, text in _runs(fromstring(svg), REGULAR):
        for each in (REGULAR, SEMIBOLD) if styled else (weight,):
            found[each] |= set(text)
    return {weight: frozenset(signs) for weight, signs in found.items()}


def _runs(element: Element, weight: int, inside: bool = False) -> Iterator[tuple[int, str]]:
    """Yield the texts of an element that are set as text, with their weights."""
    said = element.get("font-weight")
    said = said or (_WEIGHT.search(element.get("style", "")) or (None, None))[1]
    if said:
        weight = SEMIBOLD if said == "bold" or said.isdigit() and int(said) > 500 else REGULAR
    inside = inside or element.tag.rpartition("}")[2] == "text"
    if inside and element.text:
        yield weight, element.text
    for child in element:
        yield from _runs(child, weight, inside)
        if inside and child.tail:
            yield weight, child.tail


@lru_cache(maxsize=1024)
def _glyph(file: str, code: int) -> tuple[Any, tuple[int, int]]:
    """Return the outline of a letter, and its advance and left bearing."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    font = open_font(file)
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

    source = open_font(file)
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
