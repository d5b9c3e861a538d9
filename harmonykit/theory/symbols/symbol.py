"""Chord symbols as people type them: what they mean, or what is wrong and what was meant perhaps.

Reading is done by tables: ``tokens`` cuts a symbol into words and signs, ``sort`` says what each
of them does in the chord, ``build`` makes degrees of that, ``read`` adds root and bass (``roots``).
What schools read differently follows a ``Dialect``.  ``write`` looks for the shortest text that
reads back as the same degrees.
"""

import difflib
import re
from collections.abc import Iterator
from itertools import chain

from harmonykit.errors import HarmonyError, Place, need_text, wrong_kind
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.theory.symbols.quality import BY_SUFFIX
from harmonykit.theory.symbols.read import Meaning, read
from harmonykit.theory.symbols.roots import ROOT
from harmonykit.theory.symbols.tokens import LONGEST, Misfit
from harmonykit.theory.symbols.write import write_symbol

_MOST_GUESSES = 3
_MEND, _LATIN_MEND = '"C", "Am7", "F#7b9" or "N.C."', '"Do", "Lam7", "Fa#7b9" or "N.C."'
_NAMINGS = {"German": Dialect(german=True), "Latin": Dialect(latin=True)}


def understand(text: str, dialect: Dialect = DEFAULT) -> Meaning:
    """Read a chord symbol as people type them, or say what is wrong with it.

    Raises
    ------
    HarmonyError
        With a caret at the first character that does not fit, and near readings.

    Examples
    --------
    >>> understand("Cdim").doubts
    ('dim without a number is read as the seventh chord; some mean the triad',)
    """
    need_text(text, "a chord symbol", '"Am7"')
    if not isinstance(dialect, Dialect):
        raise wrong_kind(dialect, "a Dialect", 'Dialect(dim="triad")')
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
        f"{shown} is not a chord symbol that can be read" if text.strip() else "no chord symbol",
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
            said = read(text, naming).said
        except Misfit:
            continue
        if said is not None:
            return name, write_symbol(said)
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
        return bool(text) and read(text, dialect).said is not None
    except Misfit:
        return False
