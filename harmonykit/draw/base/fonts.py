"""The fonts that ship: their files, the signs that they have, and how wide they set a text.

Conventions.  Type is in points, widths are in mm.  Text is set in Source Sans 3, and what it lacks
in Quay Signs; ``shared/fonts/README.md`` says where both come from.

Paper shows an empty square for a sign that no font has, and nobody sees it before the sheet is in
the room.  A figure on a screen is set by whoever shows it, who may have more fonts.
"""

from __future__ import annotations

import io
import json
import threading
import unicodedata
from functools import cache, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from harmonykit.errors import HarmonyError, Place
from harmonykit.paths import shared_dir

if TYPE_CHECKING:
    from typst import Fonts

FAMILY = ("Source Sans 3", "Quay Signs")
# What a reader of SVG or CSS looks for: our cut of the text face, the whole face, the signs.
FAMILIES = "'Harmonykit Sans', 'Source Sans 3', 'Quay Signs', sans-serif"
REGULAR, SEMIBOLD = 400, 600
# How much wider a name may run in a reader's own face.
WIDER = 1.25

POINTS_PER_MM = 72 / 25.4

FOLDERS = ("source-sans-3", "quay-signs")
# For each weight the text face, then the signs that it lacks.
FILES = {
    REGULAR: ("source-sans-3/SourceSans3_400Regular.ttf", "quay-signs/QuaySigns-Regular.ttf"),
    SEMIBOLD: ("source-sans-3/SourceSans3_600SemiBold.ttf", "quay-signs/QuaySigns-SemiBold.ttf"),
}


_READING = threading.RLock()
"""A font is read while it is used, table after table, which two pages at once may not do."""


@lru_cache(maxsize=8)
def open_font(file: str) -> Any:
    """Return a font of ``shared/fonts`` as fontTools reads it."""
    from fontTools.ttLib import TTFont

    # Read whole: a lazy font would leave its file open.
    return TTFont(io.BytesIO((shared_dir() / "fonts" / file).read_bytes()), lazy=True)


@lru_cache(maxsize=1)
def typst_fonts() -> Fonts:
    """Return the fonts of ``shared/fonts`` for typst, and no others."""
    import typst

    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(shared_dir() / "fonts" / folder) for folder in FOLDERS],
    )


@lru_cache(maxsize=8)
def glyph_names(file: str) -> dict[int, str]:
    """Return the name of the glyph for each code point that a font has."""
    return dict(open_font(file).getBestCmap())


@cache
def _measured() -> Any:
    """Return what was read in the fonts beforehand; ``make_measures.py`` beside them says how."""
    return json.loads((shared_dir() / "fonts" / "measures.json").read_text(encoding="utf-8"))


@cache
def printable() -> frozenset[int]:
    """Return the code points that the fonts of a sheet have in every style."""
    runs = _measured()["printable"]
    return frozenset(code for first, last in runs for code in range(first, last + 1))


@lru_cache(maxsize=2048)
def text_width(text: str, size: float, weight: int = REGULAR) -> float:
    """Return the width in mm of a run of text: the advances of its signs, kerned.

    Parameters
    ----------
    text : str
    size : float
        In points.
    weight : {400, 600}

    Examples
    --------
    >>> text_width("", 10), text_width("To", 10) < text_width("T", 10) + text_width("o", 10)
    (0.0, True)
    """
    known = _measured()[str(weight)]
    usual = all(sign in known["signs"] for sign in text)
    em = _em_known(text, known) if usual else em_in_files(text, weight)
    return em * size / POINTS_PER_MM


def _em_known(text: str, known: dict[str, Any]) -> float:
    em, signs = known["em"], [known["signs"][sign] for sign in text]
    wide: float = sum(advance / em[file] for file, advance in signs)
    for (left, right), ((file, _), (other, _)) in zip(pairwise(text), pairwise(signs), strict=True):
        if file == other:
            wide += known["kern"].get(left + right, 0) / em[file]
    return wide


def em_in_files(text: str, weight: int) -> float:
    """Return the width of a text in em, by the fonts."""
    with _READING:
        signs = [sign_of(ord(sign), weight) for sign in text]
        em = sum(advance for _, _, advance in signs)
        for (file, left, _), (other, right, _) in pairwise(signs):
            if file == other:
                em += kern_of(file, left, right)
    return em


def broken(text: str, room: float, size: float, weight: int = REGULAR) -> list[str]:
    """Return a text in lines that are no wider than a room in mm, broken at spaces.

    Examples
    --------
    >>> broken("a long name", 12, 10)
    ['a long', 'name']
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size, weight) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def shortened(text: str, room: float, size: float, weight: int = REGULAR) -> str:
    """Return as much of a text as there is room for, in mm, with … for the rest.

    Examples
    --------
    >>> shortened("Heron Landing", 20, 10), shortened("Heron Landing", 40, 10)
    ('Heron Lan…', 'Heron Landing')
    """
    if text_width(text, size, weight) <= room:
        return text
    while text and text_width(text + "…", size, weight) > room:
        text = text[:-1]
    return text.rstrip() + "…"


@lru_cache(maxsize=2048)
def sign_of(code: int, weight: int) -> tuple[str, str, float]:
    """Return the file that sets a sign, its glyph, and its advance in em; for none an empty box."""
    file = next((file for file in FILES[weight] if code in glyph_names(file)), FILES[weight][0])
    name = glyph_names(file).get(code, ".notdef")
    font = open_font(file)
    return file, name, int(font["hmtx"][name][0]) / int(font["head"].unitsPerEm)


@lru_cache(maxsize=4096)
def kern_of(file: str, left: str, right: str) -> float:
    """Return how much farther a glyph stands from the one before it, in em: mostly less than 0.

    The first subtable that has the pair decides: OpenType 1.9, GPOS, pair adjustment.
    """
    for pairs in _pairs(file):
        if left not in pairs.Coverage.glyphs:
            continue
        if pairs.Format == 1:
            known = pairs.PairSet[pairs.Coverage.glyphs.index(left)].PairValueRecord
            found = next((each.Value1 for each in known if each.SecondGlyph == right), None)
        else:
            first, second = (table.classDefs for table in (pairs.ClassDef1, pairs.ClassDef2))
            row = pairs.Class1Record[first.get(left, 0)].Class2Record
            found = row[second.get(right, 0)].Value1
        if found is not None:
            return getattr(found, "XAdvance", 0) / int(open_font(file)["head"].unitsPerEm)
    return 0.0


@lru_cache(maxsize=8)
def _pairs(file: str) -> tuple[Any, ...]:
    """Return the kerning of a font: its subtables of pairs."""
    font = open_font(file)
    if "GPOS" not in font:
        return ()
    table = font["GPOS"].table
    wanted = {
        index
        for record in table.FeatureList.FeatureRecord
        if record.FeatureTag == "kern"
        for index in record.Feature.LookupListIndex
    }
    subtables = [each for n in sorted(wanted) for each in table.LookupList.Lookup[n].SubTable]
    return tuple(getattr(each, "ExtSubTable", each) for each in subtables)


RULE = "the fonts of a sheet have Latin, Greek and Cyrillic letters, and music symbols"
MEND = "write it in letters that they have"
# Joiners and the like print nothing of their own.
_UNSEEN = ("Cf",)
_VARIATION = range(0xFE00, 0xFE10)


def lacking(text: str) -> str:
    """Return the first sign of a text that the fonts lack, or nothing.

    A letter and its accents are one sign where the fonts have them as one.

    Examples
    --------
    >>> lacking("Łódź B♭°7"), lacking("Ebb 潮 tide"), lacking("e\u0301bbe")
    ('', '潮', '')
    """
    known = printable()
    return next((s for s in unicodedata.normalize("NFC", text) if not _fits(s, known)), "")


def _fits(sign: str, known: frozenset[int]) -> bool:
    code = ord(sign)
    if unicodedata.category(sign) == "Cc":
        return sign in "\n\t"
    if code in known or code in _VARIATION or sign.isspace():
        return True
    return unicodedata.category(sign) in _UNSEEN


def check_printable(text: str, what: str, place: Place | None = None) -> None:
    """Refuse a text that the fonts of a sheet cannot print.

    Parameters
    ----------
    text : str
    what : str
        What the text is: ``"the title"``.
    place : Place, optional
        Where it stands; ``index_of`` says which character it is.

    Raises
    ------
    HarmonyError
        With the sign that they lack.

    Examples
    --------
    >>> check_printable("Ebb 潮", "the title")
    Traceback (most recent call last):
    harmonykit.errors.HarmonyError: the title has '潮' (U+6F6E), which cannot be printed
    ...
    """
    if sign := lacking(text):
        shown = f"{sign!r} (U+{ord(sign):04X})"
        said = f"{what} has {shown}, which cannot be printed"
        control = unicodedata.category(sign) == "Cc"
        mend = "the same line without it" if control else MEND
        raise HarmonyError(said, place=place, rule=RULE, mend=mend)


def index_of(text: str) -> int:
    """Return where in a text the first sign stands that the fonts lack; 0 for none."""
    sign = lacking(text)
    return max(text.find(sign), 0)
