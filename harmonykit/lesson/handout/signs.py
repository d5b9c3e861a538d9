"""Signs that a handout's fonts lack: shown as empty squares, and told.

A build refuses a lesson with such signs before it begins; a sheet that is drawn while somebody
still types shows them so.
"""

from __future__ import annotations

import unicodedata
from typing import Any

from harmonykit.draw.base.glyphs import printable

MISSING = "\u25a1"

_MOST_TOLD = 6
_UNSEEN = ("Cf", "Mn", "Me", "Cs", "Co")


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
