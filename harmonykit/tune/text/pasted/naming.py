"""In which naming the chords of a pasted text are written: letters, German, Latin, small letters.

Nobody says it.  The naming in which most of the words can be read is taken, letters first.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Reading, read_symbol
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect

NAMINGS = ("letters", "german", "latin")
_LOOSE = "\"'.,;:!?()[]"


@dataclass(frozen=True, slots=True)
class Naming:
    """A way to read chord names.

    Parameters
    ----------
    dialect : Dialect
    capitals : bool
        Roots typed small are read as capitals: ``gm7`` is Gm7.
    said : str
        What is told of it; empty for letters.
    """

    dialect: Dialect = DEFAULT
    capitals: bool = False
    said: str = ""

    def read(self, word: str) -> Reading:
        """Read a chord symbol.

        Raises
        ------
        HarmonyError
            If it cannot be read in this naming.
        """
        return read_symbol(word[:1].upper() + word[1:] if self.capitals else word, self.dialect)

    def reads(self, word: str) -> bool:
        """Return whether a word is a chord, or silence; most words come again and again."""
        return _reads(self, word)


@lru_cache(maxsize=4096)
def _reads(naming: Naming, word: str) -> bool:
    try:
        naming.read(word)
    except HarmonyError:
        return False
    return True


# Nobody writes H double sharp; "As" and "Es" are names, "Asus" is a chord on A.
_ONLY_GERMAN = re.compile(r"[Hh](?![x𝄪])|[A-Ga-g](?:is|es)(?![a-z]{3})|[EeAa]s(?!us)")
_SMALL = "small letters are minor chords, as in a for Am"
_GERMAN = "German naming: H is B natural, B is B flat"
_LATIN = "Latin naming: Do is C"


def find_naming(words: Sequence[str], dialect: Dialect = DEFAULT, wanted: str = "") -> Naming:
    """Return the naming in which most words can be read.

    Parameters
    ----------
    words : sequence of str
        What may be chords.
    dialect : Dialect
        For all that is not naming.
    wanted : {"", "letters", "german", "latin"}
        Where it is known.

    Examples
    --------
    >>> find_naming(["a", "d", "E7", "H7"]).said
    'German naming: H is B natural, B is B flat; small letters are minor chords, as in a for Am'
    >>> find_naming(["f", "d7", "gm7"]).said
    'all roots are small letters: read as capitals'
    """
    if wanted and wanted not in NAMINGS:
        mend = " or ".join(NAMINGS)
        raise HarmonyError(f"{wanted!r} is not a naming of chords", mend=mend)
    tried = [each for name, each in _candidates(words, dialect) if not wanted or name == wanted]
    if wanted == "german" and not tried:
        tried = [Naming(replace(dialect, german=True), said=_GERMAN)]
    counts = [sum(map(_counter(naming), words)) for naming in tried]
    return tried[counts.index(max(counts))]


def _candidates(words: Sequence[str], dialect: Dialect) -> list[tuple[str, Naming]]:
    small = not any(word[:1].isupper() for word in words) and any(w[:1].islower() for w in words)
    lower = replace(dialect, lower_case_minor=True)
    found = [("letters", Naming(dialect))]
    if small:
        said = "all roots are small letters: read as capitals"
        found.append(("letters", Naming(dialect, capitals=True, said=said)))
    else:
        found.append(("letters", Naming(lower, said=_SMALL)))
    german, latin = replace(dialect, german=True), replace(dialect, latin=True)
    if any(_ONLY_GERMAN.match(word) for word in words):
        found.append(("german", Naming(german, small, _GERMAN)))
        both = Naming(replace(german, lower_case_minor=True), said=f"{_GERMAN}; {_SMALL}")
        found += [("german", both)] * (not small)
    found.append(("latin", Naming(latin, small, _LATIN)))
    return found


def _counter(naming: Naming) -> Callable[[str], bool]:
    return lambda word: naming.reads(word) or naming.reads(word.strip(_LOOSE))


def is_near_a_chord(word: str) -> bool:
    """Return whether a word that cannot be read was meant as a chord rather than as a word.

    Examples
    --------
    >>> [is_near_a_chord(word) for word in ("Gmim7", "Hx7", "Bridge", "again", "Asuss")]
    [True, True, False, False, True]
    """
    if not re.match(r"[A-H]", word):
        return bool(re.match(r"[a-h][#b♯♭]?[a-z]{0,3}\d", word))
    rest = word[1:]
    if not rest or not rest.isalpha():
        return True
    return bool(re.match(r"b?(?:m|M|ma|mi|su|di|au|ad|al|do)[a-z]{0,3}\d*$", rest))
