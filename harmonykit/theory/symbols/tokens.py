"""The words and signs of chord symbols, how a symbol is cut into them, and the roles of the pieces.

Look-alike glyphs become one glyph each (``_LOOK_ALIKES``, and the compatibility forms of Unicode:
raised, lowered and full-width characters).  What follows the root is cut by the tables ``_WORDS``
and ``_PATTERNS``, longest first, taking a shorter token where the rest would not fit: ``Cmadd9``
is ``m add9``, not ``ma dd9``.

A symbol says a kind, a seventh, how far the thirds are stacked, and what is altered, added,
suspended and left out.  ``sort`` puts each token of a symbol into its role; ``said``
makes degrees of the roles.
"""

import re
from functools import cache
from unicodedata import normalize

from harmonykit.theory.degree import Degree
from harmonykit.theory.symbols.dialect import Dialect
from harmonykit.values import dataclass, field

LONGEST = 64

_Firsts = dict[str, list[tuple[str, str]]]

_LOOK_ALIKES = {
    "♭": "b", "♯": "#", "＃": "#", "𝄫": "bb", "𝄪": "##", "♮": "",
    "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "⁻": "-", "⁺": "+", "＋": "+",
    "º": "°", "˚": "°", "∘": "°", "⁰": "°", "○": "°", "◦": "°", "ₒ": "°", "ᵒ": "°", "〇": "°",
    "Ø": "ø", "∅": "ø", "⌀": "ø", "Φ": "ø", "φ": "ø", "⦰": "ø",
    "∆": "Δ", "△": "Δ", "▵": "Δ", "▲": "Δ", "▴": "Δ", "⊿": "Δ", "ᐃ": "Δ",
    "[": "(", "]": ")", "{": "(", "}": ")", "\\": "/", "⁄": "/", "∕": "/", "，": ",", "、": ",",
    "￨": "|", "│": "|", "∣": "|",
    "\u0301": "",
    "\u00a0": " ", "\u202f": " ", "\t": " ",
    "\ufe0e": "", "\ufe0f": "", "\u200b": "", "\u2060": "",
}  # fmt: skip
_RARE_ASCII = re.compile(r"[\[\]{}\\\t]")

# Spellings of each kind of word (Wikipedia "Chord notation", MusicXML kind texts, common practice;
# "h" is a letter that some charts have for the slashed circle).
_WORDS: dict[str, tuple[str, ...]] = {
    "maj": (
        "major", "Major", "MAJOR", "maj", "Maj", "MAJ", "ma", "Ma", "MA", "M", "j", "J",
        "mj", "Mj", "MJ", "majeur", "Majeur", "mayor", "maior", "maggiore", "Dur", "dur",
        "-Dur", "-dur",
    ),
    "triangle": ("Δ", "^"),
    "min": (
        "minor", "Minor", "MINOR", "min", "Min", "MIN", "mi", "Mi", "MI", "m",
        "mineur", "Mineur", "menor", "minore", "Moll", "moll",
        "-Moll", "-moll",
    ),
    "dim": ("diminished", "Diminished", "dim", "Dim", "DIM", "dism", "°", "o", "0"),
    "half": (
        "half-diminished", "half diminished", "half-dim", "half dim", "halfdim", "hdim", "ø",
        "Half-diminished", "Half-dim",
    ),
    "aug": ("augmented", "Augmented", "aug", "Aug", "AUG", "aum"),
    "dom": ("dominant", "Dominant", "dom", "Dom"),
    "alt": ("altered", "Altered", "alt", "Alt", "ALT"),
    "plus": ("+",),
    "minus": ("-",),
    "open": ("(",),
    "close": (")",),
}  # fmt: skip
_NUMBER_WORDS = {"sixth": "6", "seventh": "7", "ninth": "9", "eleventh": "11", "thirteenth": "13"}
_OMITTED_WORDS = {"root": "1", "third": "3", "fifth": "5"}
_IN_BRACKETS = r"(?=\()"
_ADDED = (
    r"(?:(bb|b|##|#|\+|-|(?:maj|Maj|ma|M|j)(?=7))?(13|11|10|9|7|6|5|4|3|2)|" + _IN_BRACKETS + ")"
)
_OMITTED = r"(?:(13|11|9|7|6|5|3|1|root|third|fifth)(?:rd|th)?|" + _IN_BRACKETS + ")"
_SIGN_WORDS = r"(bb|b|##|#|\+|-|(?:aug|dim|flat|sharp)\.? ?(?=5|9|11|13))"
# Kind, the characters that it may begin with, the pattern; groups are a sign and a number.
_PATTERNS: tuple[tuple[str, str, str], ...] = (
    ("sus", "sS", r"(?:suspended|sus|Sus|SUS)\.?(?: ?([#+]4|[b-]2|24|42|2/4|4/2|2,4|4|2))?"),
    ("add", "aA", r"(?:add|Add|ADD)\.? ?" + _ADDED),
    ("omit", "oOnN", r"(?:omit|no|No|NO|Omit|OMIT)\.? ?" + _OMITTED),
    ("alter", "b#+-adfs", _SIGN_WORDS + r"(13|11|10|9|7|6|5|4|3|2)"),
    # A sign after its number: 9b, 5#.
    ("signed", "b#", r"([b#])(?!\d)"),
    ("number", "1245679", r"(6[/,]9|69|9[/,]6|13|11|9|7|6|5|4|2)(?:th)?"),
    ("number", "snet", "(" + "|".join(_NUMBER_WORDS) + ")"),
    ("half", "h", r"(h)(?=7|9|11)"),
    (
        "gap",
        ", /-&",
        r"([, ]*&[ ]*|[, ]+"
        r"|/(?= ?[-b#+]*\d| ?(?:maj|Maj|MAJ|ma[^d]|M|Δ|\^|j|add|Add|sus|Sus|no\d|omit|alt))"
        r"|-(?=maj|Maj|MAJ|ma7|M7|Δ))",
    ),
)
# Most symbols need few of them.
_compiled = cache(re.compile)


class Misfit(Exception):
    """A character that does not fit: its column, counted from 0, and the rule.

    Examples
    --------
    >>> try:
    ...     cut("m7x")
    ... except Misfit as misfit:
    ...     misfit.column
    2
    """

    def __init__(self, column: int, rule: str) -> None:
        super().__init__(rule)
        self.column = column
        self.rule = rule


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of a symbol: its kind, its text (a number's digits), its column, and a sign.

    Examples
    --------
    >>> cut("7b9")[1]
    Token(kind='alter', text='9', column=1, sign='b')
    """

    kind: str
    text: str
    column: int
    sign: str = ""


def normalise(text: str) -> tuple[str, list[int]]:
    """Return the text with one glyph for each sign, and the column that each came from.

    Raises
    ------
    Misfit
        If the text is too long for any symbol.

    Examples
    --------
    >>> normalise("B𝄫ø")
    ('Bbbø', [0, 1, 1, 2])
    >>> normalise("C⁶⁄₉")[0], normalise("Ｃｍ７")[0]
    ('C6/9', 'Cm7')
    """
    if len(text) > LONGEST:
        raise Misfit(LONGEST, f"a symbol has at most {LONGEST} characters")
    if text.isascii() and not _RARE_ASCII.search(text):
        return text, list(range(len(text)))
    glyphs = [(new, i) for i, old in enumerate(text) for new in _glyph(old)]
    return "".join(new for new, _ in glyphs), [i for _, i in glyphs]


def _glyph(old: str) -> str:
    """Return what a character stands for: by the table, or its plain form if that is ASCII."""
    known = _LOOK_ALIKES.get(old)
    if known is not None or old.isascii():
        return old if known is None else known
    plain = normalize("NFKC", old)
    return plain if plain.isascii() else old


def cut(text: str) -> list[Token]:
    """Cut what follows the root into tokens.

    Raises
    ------
    Misfit
        At the first character that fits no token.

    Examples
    --------
    >>> [token.kind for token in cut("madd9")]
    ['min', 'add']
    """
    furthest = [0]
    tokens = _cut_from(text, 0, (), furthest, set())
    if tokens is None:
        raise Misfit(furthest[0], "what follows the root is a quality, a number or an alteration")
    return list(tokens)


def _cut_from(
    text: str, position: int, done: tuple[Token, ...], furthest: list[int], dead: set[int]
) -> tuple[Token, ...] | None:
    if position >= len(text):
        return done
    first = all(token.kind == "gap" for token in done)
    for end, token in _candidates(text, position, first=first):
        furthest[0] = max(furthest[0], end if end < len(text) else furthest[0])
        if end not in dead:
            rest = _cut_from(text, end, (*done, token), furthest, dead)
            if rest is not None:
                return rest
    dead.add(position)
    return None


def _candidates(text: str, position: int, *, first: bool) -> list[tuple[int, Token]]:
    """Return the tokens that could stand here and where each ends, the longest first."""
    found: list[tuple[int, Token]] = []
    for kind, pattern in _PATTERNS_FROM.get(text[position], ()):
        match = _compiled(pattern).match(text, position)
        if match and not (first and _is_of_the_root(kind, match)):
            parts = tuple(part or "" for part in match.groups())
            number = _NUMBER_WORDS.get(parts[-1]) or _OMITTED_WORDS.get(parts[-1]) or parts[-1]
            sign = parts[0].strip(" .") if len(parts) > 1 else ""
            found.append((match.end(), Token(kind, number, position, sign)))
    for kind, word in _WORDS_FROM.get(text[position], ()):
        # A nought is a circle straight after the root alone: C07, never C70.
        if text.startswith(word, position) and (first or word != "0"):
            end = position + len(word)
            dot = len(word) > 1 and text.startswith(".", end)
            found.append((end + dot, Token(kind, word, position)))
    return sorted(found, key=lambda pair: -pair[0])


def _is_of_the_root(kind: str, match: re.Match[str]) -> bool:
    """Whether a sign straight after the root names the quality: ``C-7``, ``C+9``, not ``C-5``.

    A word does so too (``Caug9``), and a hyphen there is the sign of minor (``C-maj7``).
    """
    if kind == "gap":
        return match[0] == "-"
    if kind != "alter":
        return kind == "signed"
    return match[1][0] in "adfs" or (match[1] in "+-" and match[2] != "5")


def _by_first_character() -> tuple[_Firsts, _Firsts]:
    words: _Firsts = {}
    patterns: _Firsts = {}
    for kind, spellings in _WORDS.items():
        for word in spellings:
            words.setdefault(word[0], []).append((kind, word))
    for kind, firsts, pattern in _PATTERNS:
        for first in firsts:
            patterns.setdefault(first, []).append((kind, pattern))
    return words, patterns


_WORDS_FROM, _PATTERNS_FROM = _by_first_character()


SIGNS = {
    "": 0, "b": -1, "-": -1, "bb": -2, "#": 1, "+": 1, "##": 2,
    "flat": -1, "sharp": 1, "dim": -1, "aug": 1,
}  # fmt: skip
# Seconds and fourths that are added or altered are ninths and elevenths; a tenth is a third.
OCTAVE_UP = {2: 9, 4: 11, 10: 3}
STACK = {"7": (), "9": (9,), "11": (9, 11), "13": (9, 11, 13)}
# An added seventh is the minor one (MusicXML 4.0, degree-alter), and a sharp one the major.
_ADDED_SEVENTH = {"": -1, "b": -1, "-": -1, "bb": -2}


@dataclass(slots=True)
class Roles:
    """What a symbol says, by roles; the column of what may still turn out not to fit.

    Examples
    --------
    >>> roles = Roles(kind="min", number="7")
    >>> roles.major, roles.changed
    (False, False)
    """

    kind: str = ""
    number: str = ""
    major: bool = False
    triangle: bool = False
    seventh: int | None = None
    sevenths: bool = False
    minor_third: bool = False
    fifths: set[int] = field(default_factory=set)
    suspended: set[Degree] = field(default_factory=set)
    altered: set[Degree] = field(default_factory=set)
    added: set[Degree] = field(default_factory=set)
    omitted: dict[int, int] = field(default_factory=dict)
    alt: bool = False
    nine_added: bool = False
    doubts: list[str] = field(default_factory=list)

    def doubt(self, dialect: Dialect, name: str) -> str:
        """Say how a dialect reads what is doubtful; return its setting."""
        self.doubts.append(dialect.doubt(name))
        return str(getattr(dialect, name))

    @property
    def changed(self) -> bool:
        """Whether anything is altered, added, suspended or left out."""
        return bool(self.fifths or self.altered or self.added or self.suspended or self.omitted)


def added_degree(number: int, sign: str) -> Degree:
    """Return the degree that is added by a number and a sign."""
    if number == 7:
        return Degree(7, _ADDED_SEVENTH.get(sign, 0))
    if number == 10 and sign in ("b", "-"):
        return Degree(9, 1)
    return Degree(OCTAVE_UP.get(number, number), SIGNS.get(sign, 0))


def altered_degree(number: int, alter: int, token: Token) -> Degree:
    """Return the degree of an alteration that says something new.

    A third is named by the kind, a flat eleventh is a third, a sharp thirteenth a seventh.
    """
    if number == 10 and alter == -1:
        return Degree(9, 1)
    if number in (3, 10):
        raise Misfit(token.column, "a third is major or minor: C or Cm")
    if abs(alter) > 1:
        raise Misfit(token.column, "an alteration has one sign: b9 or #9")
    degree = Degree(OCTAVE_UP.get(number, number), alter)
    if degree in (Degree(11, -1), Degree(13, 1), Degree(6, 1)):
        raise Misfit(
            token.column, "a fourth is natural or sharp, a sixth or thirteenth natural or flat"
        )
    return degree
