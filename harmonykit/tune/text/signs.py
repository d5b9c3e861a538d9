"""Signs in the text of changes: ``{segno}``, ``{D.C. al fine}``, ``{fermata}`` and their like."""

import re
from collections.abc import Sequence
from fractions import Fraction

from harmonykit.tune.bar import OPENING_SIGNS, SIGNS, Bar
from harmonykit.tune.text.barlines import Word

BEAT = re.compile(r"\d{1,6}(?:\.\d{1,6}|/\d{1,6})?")

_FERMATA = re.compile(r"fermata(?:@(.*))?", re.IGNORECASE)
_BY_PLAIN_NAME = {re.sub(r"[\s.]", "", sign).lower(): sign for sign in SIGNS}


def sign_of(text: str) -> str:
    """Return the sign that a brace names, however its dots and blanks are typed, or nothing.

    Examples
    --------
    >>> sign_of("DC al Fine"), sign_of("To Coda"), sign_of("3/4")
    ('D.C. al fine', 'to coda', '')
    """
    return _BY_PLAIN_NAME.get(re.sub(r"[\s.]", "", text).lower(), "")


def is_fermata(text: str) -> bool:
    """Return whether a brace is a fermata, with or without a beat."""
    return _FERMATA.fullmatch(text.strip()) is not None


def fermata_beat(text: str) -> str | None:
    """Return the beat that a fermata names, as it was typed."""
    found = _FERMATA.fullmatch(text.strip())
    return None if found is None or found[1] is None else found[1].strip()


def beat_of(text: str) -> Fraction | None:
    """Return a beat counted from 1, such as ``"3.5"`` or ``"7/3"``; None if it is none."""
    if not BEAT.fullmatch(text) or re.search(r"/0+$", text):
        return None
    return Fraction(text)


def held_by(brace: Word, starts: Sequence[tuple[Word, Fraction]]) -> Fraction:
    """Return where the chord starts that stands before a brace; 0 where none does."""
    before = [at for word, at in starts if word.at < brace.at]
    return max(before[-1], Fraction(0)) if before else Fraction(0)


def alternates_of(words: Sequence[Word]) -> tuple[list[Word], dict[int, list[Word]]]:
    """Part words in brackets from the others; they are listed by the place of the one before."""
    kept: list[Word] = []
    found: dict[int, list[Word]] = {}
    for word in words:
        if word.text.startswith("("):
            found.setdefault(kept[-1].at if kept else -1, []).append(word)
        else:
            kept.append(word)
    return kept, found


def write_signs(bar: Bar) -> tuple[str, str]:
    """Return a bar's signs as text, those before its chords and those after them."""
    opening = [f"{{{sign}}} " for sign in bar.signs if sign in OPENING_SIGNS]
    closing = [f"{{{sign}}} " for sign in bar.signs if sign not in OPENING_SIGNS]
    return "".join(opening), "".join(closing)
