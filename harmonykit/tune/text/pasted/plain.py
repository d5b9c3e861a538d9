"""A pasted text made plain: signs as a keyboard has them, and the naming of its chords.

Messages carry blanks that do not break, quotes that curl, dashes of five lengths, bar lines drawn
as boxes and digits set high.  All of them become the plain signs that a keyboard has, each with its
place in what was pasted.

In which naming chords are written (letters, German, Latin, small letters) nobody says: the one in
which most of the words can be read is taken, letters first.
"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

from harmonykit.errors import HarmonyError, Place, attempt
from harmonykit.theory.chord import Reading, read_symbol
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.values import dataclass, replace

_BLANKS = "\t\u00a0\u1680\u202f\u205f\u3000" + "".join(map(chr, range(0x2000, 0x200B)))
# What turns the direction of writing, and signs for machines, are no text either.
_NOTHING = (
    "\u200b\u200c\u200d\u200e\u200f\u2060\ufe0e\ufe0f\ufeff\u00ad"
    "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    + "".join(map(chr, (*range(0x09), *range(0x0E, 0x20), *range(0x7F, 0x85), *range(0x86, 0xA0))))
)
_SIGNS = {
    **dict.fromkeys(_BLANKS, " "),
    **dict.fromkeys(_NOTHING, ""),
    **dict.fromkeys("\r\x0b\x0c\u0085\u2028\u2029", "\n"),
    **dict.fromkeys("│┃❘❙∣ǀ｜¦▏𝄀", "|"),
    **dict.fromkeys("‖∥║𝄁𝄂", "||"),
    "𝄆": "|:",
    "𝄇": ":|",
    "𝄎": "%",
    "𝄏": "%%",
    "𝄋": " segno ",
    "𝄌": " coda ",
    **dict.fromkeys("“”„‟«»″", '"'),
    **dict.fromkeys("‘’‚‛‹›′", "'"),
    **dict.fromkeys("−–‐‑‒", "-"),
    **dict.fromkeys("×✕✖", "x"),
    **dict.fromkeys("→➔➜⇒", ">"),
}
# Little pictures, which no sheet prints.
_SMILEYS = "\U0001f000"
_LINE_END = re.compile(r"\r\n|\r|\n")
_DAY = r"\d{1,4}[./-]\d{1,2}(?:[./-]\d{2,4})?"
_TIME = r"\d{1,2}[:.]\d{2}(?:[:.]\d{2})?(?: ?[AaPp]\.?[Mm]\.?)?"
# "[30/11, 17:03] Jo: " stands before what was said.
_STAMP = rf"^[ ]*\[?(?:{_DAY},? +{_TIME}|{_TIME},? +{_DAY})\]?(?: -)? +[^\n:|\[\]]{{1,30}}:[ ]"
# A mark of a mail's quotation, and what some programs set round words to make them heavy.
_QUOTED = re.compile(rf"{_STAMP}|^(?:[ ]*>)+[ ]?|^[ ]*```.*$|\*\*|__|`", re.M)


@dataclass(frozen=True, slots=True)
class Plain:
    """A text made plain.

    Parameters
    ----------
    text : str
    origins : tuple of int
        For each character its index in what was pasted.
    pasted : str
    name : str
        What was pasted, in words, for places.
    """

    text: str
    origins: tuple[int, ...]
    pasted: str
    name: str

    @classmethod
    def of(cls, pasted: str, name: str) -> Plain:
        """Make a text plain.

        Examples
        --------
        >>> Plain.of("│ F\\u00a0\\u00a0D⁷ ‖", "a message").text
        '| F  D7 ||'
        """
        signs = [(sign, at) for at, char in enumerate(pasted) for sign in _plain(pasted, at, char)]
        text = "".join(sign for sign, _ in signs)
        gone = {n for found in _QUOTED.finditer(text) for n in range(*found.span())}
        kept = [pair for n, pair in enumerate(signs) if n not in gone]
        origins = tuple(at for _, at in kept)
        return cls("".join(sign for sign, _ in kept), origins, pasted, name)

    def place(self, index: int) -> Place:
        """Return the place in what was pasted of a character of the plain text."""
        origin = self.origins[min(index, len(self.origins) - 1)] if self.origins else 0
        starts, rows = _rows(self.pasted)
        line = bisect_right(starts, origin)
        return Place(self.name, line, origin - starts[line - 1] + 1, rows[line - 1])

    def lines(self) -> Iterator[tuple[int, str]]:
        """Yield each line with the index at which it begins."""
        at = 0
        for line in self.text.split("\n"):
            yield at, line
            at += len(line) + 1


@lru_cache(maxsize=4)
def _rows(pasted: str) -> tuple[list[int], list[str]]:
    """Return where each line of a text begins, and the lines."""
    starts = [0, *(found.end() for found in _LINE_END.finditer(pasted))]
    return starts, _LINE_END.split(pasted)


def _plain(pasted: str, at: int, char: str) -> str:
    if char == "\r" and pasted[at : at + 2] == "\r\n":
        return ""
    if char in _SIGNS:
        return _SIGNS[char]
    if char >= _SMILEYS:
        return ""
    if "！" <= char <= "～" or unicodedata.category(char) == "No":
        return unicodedata.normalize("NFKC", char)
    return char


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
    return attempt(naming.read, word) is not None


# Nobody writes H double sharp; "As" and "Es" are names, "Asus" is a chord on A.
_ONLY_GERMAN = re.compile(r"[Hh](?![x𝄪])|[A-Ga-g](?:is|es)(?![a-z]{3})|[EeAa]s(?!us)")
_SMALL = "lower-case letters are minor chords: a is Am"
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
    'German naming: H is B natural, B is B flat; lower-case letters are minor chords: a is Am'
    >>> find_naming(["f", "d7", "gm7"]).said
    'all roots are lower-case letters: read as capitals'
    """
    if wanted and wanted not in NAMINGS:
        mend = " or ".join(NAMINGS)
        raise HarmonyError(f"unknown system of note names {wanted!r}", mend=mend)
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
        said = "all roots are lower-case letters: read as capitals"
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
