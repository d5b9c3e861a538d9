"""Which signs our fonts can print: what they lack is told before a page is made.

Paper shows an empty square for a sign that no font has, and nobody sees it before the sheet is in
the room.  A figure on a screen is set by whoever shows it, who may have more fonts.
"""

import unicodedata

from harmonykit.draw.base.fonts import printable
from harmonykit.draw.tree import Sheet
from harmonykit.errors import HarmonyError, Place

RULE = "the fonts of a sheet have Latin, Greek and Cyrillic letters, and the signs of music"
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


def check_picture(sheet: Sheet, what: str) -> None:
    """Refuse a picture with a text that the fonts of a sheet cannot print.

    Raises
    ------
    HarmonyError
        With the sign that they lack.
    """
    for text in sheet.texts:
        check_printable(text, what)
