"""Chord symbols: what :func:`read_symbol` reads and :func:`write_symbol` writes.

Reading is done by tables: ``symbol_tokens`` cuts a symbol into words and signs, ``symbol_sort``
says what each of them does in the chord, ``symbol_build`` makes degrees of that, ``symbol_read``
adds root and bass (``symbol_roots``).  What schools read differently follows a ``Dialect``.
``symbol_write`` looks for the shortest text that reads back as the same degrees.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from itertools import chain

from harmonykit.errors import HarmonyError, Place
from harmonykit.theory.chord import BY_SUFFIX
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.theory.symbols.read import Reading, read
from harmonykit.theory.symbols.roots import ROOT
from harmonykit.theory.symbols.tokens import LONGEST, Misfit
from harmonykit.theory.symbols.write import STYLES, suffix_of, write_symbol

__all__ = [
    "DEFAULT",
    "STYLES",
    "Dialect",
    "Reading",
    "read_symbol",
    "suffix_of",
    "write_symbol",
]

_MOST_GUESSES = 3
_MEND, _LATIN_MEND = '"C", "Am7", "F#7b9" or "N.C."', '"Do", "Lam7", "Fa#7b9" or "N.C."'
_NAMINGS = {"German": Dialect(german=True), "Latin": Dialect(latin=True)}


def read_symbol(text: str, dialect: Dialect = DEFAULT) -> Reading:
    """Read a chord symbol as people type them.

    Parameters
    ----------
    text : str
        A symbol such as ``"Bbm7b5"``, ``"C6/9"``, ``"F♯7(♭9)/B"`` or ``"N.C."``.
    dialect : Dialect
        Settings for what schools read differently.

    Returns
    -------
    Reading
        The chord (None for N.C.) and the doubts that were met.

    Raises
    ------
    HarmonyError
        With a caret at the first character that does not fit, and near readings.

    Examples
    --------
    >>> read_symbol("Cdim").chord, read_symbol("Cdim", Dialect(dim="triad")).chord
    (Chord.parse('Cdim7'), Chord.parse('Cmb5'))
    >>> read_symbol("Cdim").doubts
    ('dim without a number is read as the seventh chord; some mean the triad',)
    >>> read_symbol("N.C.").chord is None
    True
    """
    try:
        return read(text, dialect)
    except Misfit as misfit:
        raise _unreadable(text, misfit, dialect) from None


def _unreadable(text: str, misfit: Misfit, dialect: Dialect) -> HarmonyError:
    meant = _in_other_naming(text, dialect)
    said = f"; it can be read in {meant[0]} naming" if meant else ""
    near = _near(text, misfit.column, dialect, meant[1:])
    shown = repr(text if len(text) <= LONGEST else text[:LONGEST] + "…")
    return HarmonyError(
        f"{shown} is no chord symbol that can be read" if text.strip() else "no chord symbol",
        place=Place("chord symbol", None, misfit.column + 1, text[:LONGEST]),
        rule=misfit.rule if "naming" in misfit.rule else misfit.rule + said,
        mend=", ".join(near) if near else _LATIN_MEND if dialect.latin else _MEND,
    )


def _near(text: str, column: int, dialect: Dialect, first: tuple[str, ...]) -> list[str]:
    """Return up to three symbols like the unreadable one that can be read."""
    found: list[str] = []
    for guess in chain(first, _guesses(text.strip()[:LONGEST], text, column)):
        if guess.strip() not in (*found, text.strip()) and _reads(guess.strip(), dialect):
            found.append(guess.strip())
        if len(found) == _MOST_GUESSES:
            break
    return found


def _in_other_naming(text: str, dialect: Dialect) -> tuple[str, ...]:
    """Return the naming in which a symbol can be read, and what it is in letters."""
    if dialect.german or dialect.latin:
        return ()
    for name, naming in _NAMINGS.items():
        try:
            chord = read(text, naming).chord
        except Misfit:
            continue
        if chord is not None:
            return name, write_symbol(chord)
    return ()


def _guesses(stripped: str, text: str, column: int) -> Iterator[str]:
    """Yield what might be meant, the likeliest first."""
    chord, slash, bass = stripped.partition("/")
    yield chord[:1].upper() + chord[1:].lower() + slash + bass[:1].upper() + bass[1:].lower()
    if stripped.count("(") > stripped.count(")"):
        yield stripped + ")"
    yield re.sub(r"[ -](flat|sharp)", lambda sign: "b" if sign[1] == "flat" else "#", stripped)
    before, slash, after = stripped.partition("/")
    note = ROOT.match(after)
    if slash and note:
        # D/C7: two chords, or D7 over C.
        yield f"{before}|{after}"
        yield f"{before}{after[note.end() :]}/{note[0]}"
    root = ROOT.match(stripped[:1].upper() + stripped[1:])
    if root:
        suffix = stripped[root.end() :].lower()
        for close in difflib.get_close_matches(suffix, list(BY_SUFFIX), 3, 0.4):
            yield root[0] + close
    yield text[:column] + text[column + 1 :]
    for end in range(min(column, LONGEST), 0, -1):
        yield text[:end]


def _reads(text: str, dialect: Dialect) -> bool:
    try:
        return bool(text) and read(text, dialect).chord is not None
    except Misfit:
        return False
