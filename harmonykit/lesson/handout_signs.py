"""What a handout's fonts can print: signs that they lack are shown as empty squares, and told.

A missing sign would otherwise leave a gap that nobody sees before the sheet is in the room.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Any

from harmonykit.lesson.typeset_pages import FONT_FOLDERS
from harmonykit.paths import shared_dir

MISSING = "\u25a1"

_MOST_TOLD = 6
_UNSEEN = ("Cf", "Mn", "Me", "Cs", "Co")


@lru_cache(maxsize=1)
def printable() -> frozenset[int]:
    """Return the code points that the handout's fonts have in every style."""
    from matplotlib.ft2font import FT2Font

    found: set[int] = set()
    for folder in FONT_FOLDERS:
        files = sorted((shared_dir() / "fonts" / folder).glob("*.ttf"))
        found |= set.intersection(*(set(FT2Font(str(file)).get_charmap()) for file in files))
    return frozenset(found)


def legible(value: Any, lacking: dict[str, None]) -> Any:
    """Return plain data with every text made printable; signs that are lacking are noted.

    Parameters
    ----------
    value : str, list, dict or other
        Walked through to its texts; numbers stay.
    lacking : dict of str to None
        Takes in the signs for which an empty square stands, in order.

    Examples
    --------
    >>> lacking = {}
    >>> legible({"title": "Ebb \u6f6e tide"}, lacking), list(lacking)
    ({'title': 'Ebb □ tide'}, ['潮'])
    """
    if isinstance(value, str):
        return _printed(value, lacking)
    if isinstance(value, dict):
        return {key: legible(part, lacking) for key, part in value.items()}
    if isinstance(value, list):
        return [legible(part, lacking) for part in value]
    return value


def _printed(text: str, lacking: dict[str, None]) -> str:
    known = printable()
    composed = unicodedata.normalize("NFC", text)
    return "".join(s if ord(s) in known else _instead(s, lacking) for s in composed)


def _instead(sign: str, lacking: dict[str, None]) -> str:
    """Return what stands for a sign that the fonts lack; a joiner or a control leaves no square."""
    category = unicodedata.category(sign)
    if sign.isspace():
        return " "
    if category in _UNSEEN or category == "Cc":
        return ""
    lacking[sign] = None
    return MISSING


def said_of(lacking: dict[str, None]) -> str:
    """Return a sentence on the signs for which squares stand; empty for none.

    Examples
    --------
    >>> said_of({"\u6f6e": None})
    '□ stands for a sign that the fonts of this sheet lack: U+6F6E.'
    """
    if not lacking:
        return ""
    codes = [f"U+{ord(sign):04X}" for sign in lacking]
    more = " and others" if len(codes) > _MOST_TOLD else ""
    return (
        f"{MISSING} stands for a sign that the fonts of this sheet lack: "
        f"{', '.join(codes[:_MOST_TOLD])}{more}."
    )
