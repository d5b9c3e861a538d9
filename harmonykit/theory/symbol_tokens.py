"""The words and signs of chord symbols, and how a symbol is cut into them.

Look-alike glyphs become one glyph each (``_LOOK_ALIKES``).  What follows the root is cut by the
tables ``_WORDS`` and ``_PATTERNS``, longest first, taking a shorter token where the rest would not
fit: ``Cmadd9`` is ``m add9``, not ``ma dd9``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

LONGEST = 64

_LOOK_ALIKES = {
    "♭": "b", "♯": "#", "＃": "#", "𝄫": "bb", "𝄪": "##", "♮": "",
    "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "⁻": "-", "⁺": "+", "＋": "+",
    "º": "°", "˚": "°", "∘": "°", "⁰": "°", "○": "°",
    "Ø": "ø", "∅": "ø", "⌀": "ø", "∆": "Δ", "△": "Δ", "▵": "Δ",
    "（": "(", "）": ")", "[": "(", "]": ")", "{": "(", "}": ")", "⁄": "/", "，": ",",
    "¹": "1", "²": "2", "³": "3", "⁴": "4", "⁵": "5", "⁶": "6", "⁷": "7", "⁹": "9",
    "\u00a0": " ", "\u202f": " ", "\t": " ",
    "\ufe0e": "", "\ufe0f": "", "\u200b": "", "\u2060": "",
}  # fmt: skip

# Spellings of each kind of word (Wikipedia "Chord notation", MusicXML kind texts, common practice).
_WORDS: dict[str, tuple[str, ...]] = {
    "maj": ("major", "Major", "MAJOR", "maj", "Maj", "MAJ", "ma", "Ma", "MA", "M", "j"),
    "triangle": ("Δ",),
    "min": ("minor", "Minor", "MINOR", "min", "Min", "MIN", "mi", "Mi", "MI", "m"),
    "dim": ("diminished", "dim", "Dim", "DIM", "°", "o"),
    "half": ("half-diminished", "half-dim", "halfdim", "hdim", "ø"),
    "aug": ("augmented", "aug", "Aug", "AUG"),
    "dom": ("dominant", "dom"),
    "alt": ("altered", "alt", "Alt", "ALT"),
    "plus": ("+",),
    "minus": ("-",),
    "open": ("(",),
    "close": (")",),
}
_ADDED = r"(bb|b|##|#|\+|-|(?:maj|Maj|ma|M)(?=7))?(13|11|10|9|7|6|5|4|3|2)"
# Kind, the characters that it may begin with, the pattern; groups are a sign and a number.
_PATTERNS: tuple[tuple[str, str, re.Pattern[str]], ...] = (
    ("sus", "sS", re.compile(r"(?:sus|Sus|SUS)\.?([#+]4|[b-]2|24|42|2/4|4/2|4|2)?")),
    ("add", "aA", re.compile(r"(?:add|Add|ADD)\.? ?" + _ADDED)),
    (
        "omit",
        "oOnN",
        re.compile(r"(?:omit|no|No|NO|Omit|OMIT)\.? ?(13|11|9|7|6|5|3|1|root)(?:rd|th)?"),
    ),
    ("alter", "b#+-", re.compile(r"(bb|b|##|#|\+|-)(13|11|10|9|7|6|5|4|3|2)")),
    ("number", "1245679", re.compile(r"(6/9|69|13|11|9|7|6|5|4|2)")),
    ("gap", ", /", re.compile(r"([, ]+|/(?=[-b#+]*\d|maj|Maj|MAJ|ma[^d]|M|Δ|j))")),
)


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
    """
    if len(text) > LONGEST:
        raise Misfit(LONGEST, f"a symbol has at most {LONGEST} characters")
    glyphs = [(new, i) for i, old in enumerate(text) for new in _LOOK_ALIKES.get(old, old)]
    return "".join(new for new, _ in glyphs), [i for _, i in glyphs]


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
    for end, token in _candidates(text, position, first=not done):
        furthest[0] = max(furthest[0], end if end < len(text) else furthest[0])
        if end not in dead:
            rest = _cut_from(text, end, (*done, token), furthest, dead)
            if rest is not None:
                return rest
    dead.add(position)
    return None


def _candidates(text: str, position: int, first: bool) -> list[tuple[int, Token]]:
    """Return the tokens that could stand here and where each ends, the longest first."""
    found: list[tuple[int, Token]] = []
    for kind, word in _WORDS_FROM.get(text[position], ()):
        if text.startswith(word, position):
            end = position + len(word)
            dot = len(word) > 1 and text.startswith(".", end)
            found.append((end + dot, Token(kind, word, position)))
    for kind, pattern in _PATTERNS_FROM.get(text[position], ()):
        match = pattern.match(text, position)
        if match and not (kind == "alter" and first and _is_quality_sign(match)):
            parts = tuple(part or "" for part in match.groups())
            found.append((match.end(), Token(kind, parts[-1], position, parts[0])))
    return sorted(found, key=lambda pair: -pair[0])


def _is_quality_sign(match: re.Match[str]) -> bool:
    """Whether + or - straight after the root names the quality: ``C-7``, ``C+9``, not ``C-5``."""
    return match[1] in "+-" and match[2] != "5"


def _by_first_character() -> tuple[
    dict[str, list[tuple[str, str]]], dict[str, list[tuple[str, re.Pattern[str]]]]
]:
    words: dict[str, list[tuple[str, str]]] = {}
    patterns: dict[str, list[tuple[str, re.Pattern[str]]]] = {}
    for kind, spellings in _WORDS.items():
        for word in spellings:
            words.setdefault(word[0], []).append((kind, word))
    for kind, firsts, pattern in _PATTERNS:
        for first in firsts:
            patterns.setdefault(first, []).append((kind, pattern))
    return words, patterns


_WORDS_FROM, _PATTERNS_FROM = _by_first_character()
