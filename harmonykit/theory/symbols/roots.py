"""The names of roots and basses in chord symbols, in each naming: letters, German, Latin.

In German naming H is B natural and B is B flat; in Latin naming the notes are Do to Si.  Neither is
guessed: what looks like one of them under another setting is refused or doubted.
"""

import re
from functools import cache

from harmonykit.theory.note import Note
from harmonykit.theory.symbols.dialect import Dialect
from harmonykit.theory.symbols.tokens import Misfit
from harmonykit.values import dataclass

_SIGNS = {
    "##": 2, "#": 1, "x": 2, "bb": -2, "b": -1, "flat": -1, "sharp": 1,
    "isis": 2, "is": 1, "eses": -2, "ses": -2, "sas": -2, "es": -1, "s": -1,
    "bemol": -1, "bémol": -1, "bemolle": -1, "diesis": 1, "diese": 1, "dièse": 1,
    "sostenido": 1, "sustenido": 1,
}  # fmt: skip
_PLAIN_SIGNS = r"(##|#|x|bb|b| ?(?:flat|sharp)(?![a-z]))?"
# In German naming an s after E or A is a flat, but not that of sus.
_GERMAN_SIGNS = r"(##|#|x|bb|b|isis|is|eses|ses|sas|es(?!us)|s(?!us))?"
_LATIN_SIGNS = r"(##|#|x|bb|b| ?(?:bemolle|b[eé]mol|diesis|di[eè]se|sostenido|sustenido)(?![a-z]))?"
_LATIN = {
    "do": "C", "dó": "C", "ut": "C", "re": "D", "ré": "D", "mi": "E", "fa": "F", "fá": "F",
    "sol": "G", "la": "A", "lá": "A", "si": "B",
}  # fmt: skip
_LATIN_NAMES = "|".join(form for name in _LATIN for form in (name.capitalize(), name.upper(), name))
_NAMES = {"letters": "[A-G]", "german": "[A-H]", "latin": _LATIN_NAMES}
_LOWER_NAMES = {"letters": "[A-Ga-g]", "german": "[A-Ha-h]", "latin": _LATIN_NAMES}
_ALL_SIGNS = {"letters": _PLAIN_SIGNS, "german": _GERMAN_SIGNS, "latin": _LATIN_SIGNS}


@cache
def _roots(way: str, *, lower: bool = False) -> re.Pattern[str]:
    return re.compile(f"({(_LOWER_NAMES if lower else _NAMES)[way]}){_ALL_SIGNS[way]}")


# A bass follows a slash, "on", "over" or "bass", in brackets or not, or "bass" follows it; a plus
# is an old sign for a sharp.
_BEFORE = (
    r"(?:\s*\( ?(?:/|on|bass) ?| ?/ ?(?:\( ?|bass )?| on | over | bass |on(?=[A-Z])"
    r"|\s*\( ?(?=[A-G][b#]? ?bass\)))"
)
_AFTER = r"(\+)?(?: ?bass)?(\))? *$"


@cache
def _basses(way: str) -> re.Pattern[str]:
    if way == "letters":
        names, signs = "[A-Ha-h]", r"(##|#|x|bb|b|isis|is|eses|es|s| ?(?:flat|sharp))?"
    else:
        names, signs = _LOWER_NAMES[way], _ALL_SIGNS[way]
    return re.compile(f"(?P<before>{_BEFORE})({names}){signs}{_AFTER}")


ROOT = _roots("letters")
_ALTERED_NUMBER = re.compile(r"b\d")


@dataclass(frozen=True, slots=True)
class Root:
    """A root as it was typed: its note, where it ends, and whether its letter alone says minor.

    Examples
    --------
    >>> read_root("Ebm7", 0, Dialect())
    Root(note=Note.parse('Eb'), end=2, minor=False)
    """

    note: Note
    end: int
    minor: bool


def read_root(text: str, start: int, dialect: Dialect) -> Root:
    """Return the root that stands at a column.

    Raises
    ------
    Misfit
        If none does.

    Examples
    --------
    >>> read_root("Sib7", 0, Dialect(latin=True)).note
    Note.parse('Bb')
    """
    way = naming(dialect)
    lower = dialect.lower_case_minor
    found = _roots(way, lower=lower).match(text, start)
    if found is None:
        raise Misfit(start, _no_root(text, start, way))
    name, sign = found[1], (found[2] or "").strip()
    return Root(_named(name, sign, way), found.end(), lower and name.islower())


def _no_root(text: str, start: int, way: str) -> str:
    if way == "latin":
        return "a symbol begins with a root, Do to Si"
    if text.startswith("H", start) and way == "letters":
        return "a symbol begins with a root, A to G; H is German naming"
    return "a symbol begins with a root, A to G"


def naming(dialect: Dialect) -> str:
    """Return which names a dialect has for roots: letters, german or latin."""
    return "german" if dialect.german else "latin" if dialect.latin else "letters"


def _named(name: str, sign: str, way: str) -> Note:
    """Return a note; in German naming H is B, and B with or without a flat is B flat."""
    if way == "latin":
        return Note(_LATIN[name.lower()], _SIGNS.get(sign, 0))
    upper = name.upper()
    if way == "german" and upper == "H":
        return Note("B", _SIGNS.get(sign, 0))
    if way == "german" and upper == "B":
        return Note("B", _SIGNS[sign] if sign else -1)
    return Note(upper, _SIGNS.get(sign, 0))


def read_bass(text: str, position: int, dialect: Dialect) -> tuple[int, Note | None]:
    """Return where the bass begins and what it is, or the text's end and None.

    Raises
    ------
    Misfit
        If a bass is named as only another naming does.

    Examples
    --------
    >>> read_bass("C/E", 1, Dialect()), read_bass("C on Bb", 1, Dialect())
    ((1, Note.parse('E')), (1, Note.parse('Bb')))
    """
    if not any(sign in text for sign in ("/", "o", "bass")):
        return len(text), None
    way = naming(dialect)
    found = _basses(way).search(text, position)
    if found is None or _ALTERED_NUMBER.match(text, found.start(2)):
        return len(text), None
    before, name, sign, plus, closed = found.groups()
    if ("(" in before) != bool(closed):
        return len(text), None
    word = (sign or "").strip()
    if way == "letters" and name in "Hh":
        raise Misfit(found.start(2), "a bass is a note A to G; H is German naming")
    if way == "letters" and word[-1:] == "s":
        raise Misfit(found.start(3), "a bass is a note name")
    note = _named(name, word, way)
    return found.start(), Note(note.letter, note.accidental + 1) if plus else note
