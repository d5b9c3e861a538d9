"""Reading one chord symbol: root, bass, what stands between, and the look-alikes of each.

The rules stand in ``symbol_tokens`` (what the pieces are) and ``symbol_build`` (what they mean
together).  What does not fit is raised as a ``Misfit``; ``symbol`` makes the message of it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from harmonykit.theory.chord import Chord
from harmonykit.theory.dialect import Dialect
from harmonykit.theory.note import Note
from harmonykit.theory.symbol_build import Built, build_degrees
from harmonykit.theory.symbol_tokens import Misfit, Token, cut, normalise

ROOT = re.compile(r"([A-G])(##|#|x|bb|b)?")
_LOWER_ROOT = re.compile(r"([A-Ga-g])(##|#|x|bb|b)?")
# In German naming an s after E or A is a flat, but not that of sus.
_GERMAN_SIGNS = r"(##|#|x|bb|b|isis|is|eses|es(?!us)|s(?!us))?"
_GERMAN_ROOT = re.compile("([A-H])" + _GERMAN_SIGNS)
_LOWER_GERMAN_ROOT = re.compile("([A-Ha-h])" + _GERMAN_SIGNS)
_BASS = re.compile(r"/ ?([A-Ha-h])(##|#|x|bb|b|isis|is|eses|es|s)?(\+)? *$")
_ALTERED_NUMBER = re.compile(r"b\d")
_SIGNS = {"##": 2, "#": 1, "x": 2, "bb": -2, "b": -1, "isis": 2, "is": 1, "eses": -2, "es": -1}
_SIGNS["s"] = -1
_SILENCE = re.compile(r"n\.? ?c\.?|no ?chord|N", re.IGNORECASE)
_ALTERNATE = re.compile(r"\(([A-Ga-gH][^()]*)\)\s*$")
_FLAT_ROOT = re.compile(r"[CF]b(?:9|13|5)|[A-G]bb(?:5|9|13|11)(?!\d)")


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read: the chord, or None where no chord sounds, and what schools read otherwise.

    Examples
    --------
    >>> read("C11", Dialect()).doubts
    ('11 is read as all thirds up to it, less what players leave out; some mean 9sus4',)
    """

    chord: Chord | None
    doubts: tuple[str, ...] = ()


@lru_cache(maxsize=4096)
def read(text: str, dialect: Dialect) -> Reading:
    """Read a chord symbol.

    Raises
    ------
    Misfit
        At the column of the text, counted from 0, that does not fit.

    Examples
    --------
    >>> read("B♭maj7", Dialect()).chord
    Chord.parse('Bbmaj7')
    """
    plain, columns = normalise(text)
    if _SILENCE.fullmatch(plain.strip()) and plain.strip() != "n":
        return Reading(None)
    try:
        return _read_plain(plain, dialect)
    except Misfit as misfit:
        column = columns[misfit.column] if misfit.column < len(columns) else len(text.rstrip())
        raise Misfit(column, misfit.rule) from None


def _read_plain(text: str, dialect: Dialect) -> Reading:
    start = len(text) - len(text.lstrip())
    root, position, minor = _read_root(text, start, dialect)
    if dialect.alternates:
        text = _without_alternate(text, position, dialect)
    end, bass = _read_bass(text, position, dialect)
    body = text[:end].rstrip()
    doubts: tuple[str, ...] = ()
    if _FLAT_ROOT.match(text[start:end]):
        doubts = (dialect.doubt("flat_root"),)
    before = _MINOR if minor else ()
    if doubts and dialect.flat_root == "alteration" and root.accidental == -1:
        root, position, before = Note(root.letter), start + 1, _SEVENTH
    try:
        built = _read_suffix(body[position:], before, dialect)
    except Misfit as misfit:
        raise Misfit(position + misfit.column, misfit.rule) from None
    return Reading(Chord(root, built.degrees, bass or root), (*doubts, *built.doubts))


_MINOR = (Token("min", "m", 0),)
_SEVENTH = (Token("number", "7", 0),)


@lru_cache(maxsize=2048)
def _read_suffix(text: str, before: tuple[Token, ...], dialect: Dialect) -> Built:
    """Read what follows the root, which is the same over every root."""
    return build_degrees([*before, *cut(text)], dialect)


def _read_root(text: str, start: int, dialect: Dialect) -> tuple[Note, int, bool]:
    """Return the root, where it ends, and whether its letter alone says minor."""
    pattern = _GERMAN_ROOT if dialect.german else ROOT
    if dialect.lower_case_minor:
        pattern = _LOWER_GERMAN_ROOT if dialect.german else _LOWER_ROOT
    found = pattern.match(text, start)
    if found is None:
        german = "; H is German naming" if text.startswith("H", start) else ""
        raise Misfit(start, "a symbol begins with a root, A to G" + german)
    letter, signs = found[1], found[2] or ""
    return _named(letter, signs, dialect.german), found.end(), letter.islower()


def _named(letter: str, signs: str, german: bool) -> Note:
    """Return a note name; in German naming H is B, and B with or without a flat is B flat."""
    upper = letter.upper()
    if german and upper == "H":
        return Note("B", _SIGNS.get(signs, 0))
    if german and upper == "B":
        return Note("B", _SIGNS[signs] if signs else -1)
    return Note(upper, _SIGNS.get(signs, 0))


def _read_bass(text: str, position: int, dialect: Dialect) -> tuple[int, Note | None]:
    """Return where the bass begins and what it is; a trailing + is an old sign for a sharp."""
    found = _BASS.search(text, position)
    if found is None or _ALTERED_NUMBER.match(text, found.start() + 1):
        return len(text), None
    letter, signs, plus = found.groups()
    word = signs or ""
    if letter in "Hh" and not dialect.german:
        raise Misfit(found.start(1), "a bass is a note A to G; H is German naming")
    if word[-1:] == "s" and not dialect.german:
        raise Misfit(found.start(2), "a bass is a note name")
    note = _named(letter, word, dialect.german)
    return found.start(), Note(note.letter, note.accidental + 1) if plus else note


def _without_alternate(text: str, position: int, dialect: Dialect) -> str:
    """Return the symbol without another chord in brackets after it, which must be readable."""
    found = _ALTERNATE.search(text, position)
    if found is None:
        return text
    try:
        _read_plain(found[1], replace(dialect, alternates=False))
    except Misfit as misfit:
        raise Misfit(found.start(1) + misfit.column, misfit.rule) from None
    return text[: found.start()]
