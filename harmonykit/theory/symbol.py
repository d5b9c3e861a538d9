"""Chord symbols: what :func:`read_symbol` reads and :func:`write_symbol` writes.

The reader has three steps.  Look-alike glyphs become one glyph each (``_LOOK_ALIKES``); the part
after the root is cut into tokens by the tables ``_WORDS`` and ``_PATTERNS``, longest first, taking
a shorter token where the rest would not fit (``Cmadd9`` is ``m add9``, not ``ma dd9``); the tokens
are built into degrees by ``symbol_build``.  What schools read differently follows a ``Dialect``.

The writer looks for the shortest text that reads back as the same degrees, so it cannot write
what it does not read.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from harmonykit.errors import HarmonyError, Place
from harmonykit.theory.chord import BY_DEGREES, BY_SUFFIX, QUALITIES, Chord, Degree, Quality
from harmonykit.theory.dialect import DEFAULT, Dialect
from harmonykit.theory.note import Note
from harmonykit.theory.symbol_build import Misfit, Token, build_degrees

__all__ = ["DEFAULT", "Dialect", "Reading", "read_symbol", "suffix_of", "write_symbol"]

_LONGEST = 64
_LOOK_ALIKES = {
    "♭": "b", "♯": "#", "＃": "#", "𝄫": "bb", "𝄪": "##", "♮": "",
    "−": "-", "–": "-", "—": "-", "‐": "-", "º": "°", "˚": "°", "∘": "°", "⁰": "°",
    "Ø": "ø", "∅": "ø", "⌀": "ø", "∆": "Δ", "△": "Δ", "▵": "Δ",
    "（": "(", "）": ")", "[": "(", "]": ")", "{": "(", "}": ")", "⁄": "/",
    "²": "2", "⁴": "4", "⁵": "5", "⁶": "6", "⁷": "7", "⁹": "9", "⁺": "+", "⁻": "-",
    "\u00a0": " ", "\t": " ",
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
}
_NUMBER = r"(13|11|10|9|7|6|5|4|3|2)"
_PATTERNS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("sus", re.compile(r"(?:sus|Sus|SUS)\.?(24|42|2/4|4/2|4|2)?")),
    ("add", re.compile(r"(?:add|Add|ADD)\.? ?(bb|b|##|#|\+|-)?" + _NUMBER)),
    ("omit", re.compile(r"(?:omit|no|No|NO|Omit|OMIT)\.? ?(13|11|9|7|6|5|3|1|root)(?:rd|th)?")),
    ("alter", re.compile(r"(bb|b|##|#|\+|-)" + _NUMBER)),
    ("number", re.compile(r"(6/9|69|13|11|9|7|6|5|4|2)")),
    ("plus", re.compile(r"(\+)")),
    ("minus", re.compile(r"(-)")),
    ("open", re.compile(r"(\()")),
    ("close", re.compile(r"(\))")),
    ("gap", re.compile(r"([, ]+|/(?=[-b#+]*\d|maj|Maj|MAJ|ma[^d]|M|Δ|j))")),
)
_SPELLINGS = [(kind, word) for kind, words in _WORDS.items() for word in words]
_ROOT = re.compile(r"([A-G])(##|#|x|bb|b)?")
_LOWER_ROOT = re.compile(r"([A-Ga-g])(##|#|x|bb|b)?")
_GERMAN_ROOT = re.compile(r"([A-H])(##|#|x|bb|b|isis|is|eses|es(?!us)|s(?!us))?")
_BASS = re.compile(r"/ ?([A-Ha-h])(##|#|x|bb|b|isis|is|eses|es|s)?(\+)? *$")
_SIGNS = {"##": 2, "#": 1, "x": 2, "bb": -2, "b": -1, "isis": 2, "is": 1, "eses": -2, "es": -1}
_SILENCE = re.compile(r"n\.? ?c\.?|no ?chord|n", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read: the chord, or None where no chord sounds, and what schools read otherwise."""

    chord: Chord | None
    doubts: tuple[str, ...] = ()


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
        return _read(text, dialect)
    except Misfit as misfit:
        raise _unreadable(text, misfit, dialect) from None


@lru_cache(maxsize=4096)
def _read(text: str, dialect: Dialect) -> Reading:
    plain, columns = _normalise(text)
    if _SILENCE.fullmatch(plain.strip()) and plain.strip() != "n":
        return Reading(None)
    try:
        return _read_plain(plain, dialect)
    except Misfit as misfit:
        column = columns[misfit.column] if misfit.column < len(columns) else len(text.rstrip())
        raise Misfit(column, misfit.rule) from None


def _normalise(text: str) -> tuple[str, list[int]]:
    """Return the text with one glyph for each sign, and the column that each came from."""
    if len(text) > _LONGEST:
        raise Misfit(_LONGEST, f"a symbol has at most {_LONGEST} characters")
    glyphs = [(new, i) for i, old in enumerate(text) for new in _LOOK_ALIKES.get(old, old)]
    return "".join(new for new, _ in glyphs), [i for _, i in glyphs]


def _read_plain(text: str, dialect: Dialect) -> Reading:
    start = len(text) - len(text.lstrip())
    root, position, minor = _read_root(text, start, dialect)
    if dialect.alternates:
        text = _without_alternate(text, position, dialect)
    end, bass = _read_bass(text, position, dialect)
    tokens = _cut(text[:end].rstrip(), position)
    if minor:
        tokens = [Token("min", "m", start), *tokens]
    doubts: list[str] = []
    if _flat_is_alteration(text[start:end], dialect, doubts):
        root, tokens = Note(root.letter), [Token("number", "7", 1), *_cut(text[:end], start + 1)]
    built = build_degrees(tokens, dialect)
    return Reading(Chord.build(root, built.degrees, bass), (*doubts, *built.doubts))


def _read_root(text: str, start: int, dialect: Dialect) -> tuple[Note, int, bool]:
    pattern = _GERMAN_ROOT if dialect.german else _ROOT
    if dialect.lower_case_minor:
        pattern = _LOWER_ROOT
    found = pattern.match(text, start)
    if found is None:
        raise Misfit(start, "a symbol begins with a root, A to G")
    letter, signs = found[1], found[2] or ""
    return _named(letter, signs, dialect.german), found.end(), letter.islower()


def _named(letter: str, signs: str, german: bool) -> Note:
    """Return a note name; in German naming H is B, and B with or without a flat is B flat."""
    upper = letter.upper()
    if german and upper == "H":
        return Note("B", _sign(signs))
    if german and upper == "B":
        return Note("B", _sign(signs) if signs else -1)
    return Note(upper, _sign(signs))


def _sign(signs: str) -> int:
    return -1 if signs == "s" else _SIGNS.get(signs, 0)


def _read_bass(text: str, position: int, dialect: Dialect) -> tuple[int, Note | None]:
    """Return where the bass begins and what it is; a trailing + is an old sign for a sharp."""
    found = _BASS.search(text, position)
    if found is None or _NUMBER_AFTER_FLAT.match(text, found.start() + 1):
        return len(text), None
    letter, signs, plus = found.groups()
    word = signs or ""
    if letter in "Hh" and not dialect.german:
        raise Misfit(found.start(1), "a bass is a note A to G; H is German naming")
    if word[-1:] == "s" and not dialect.german:
        raise Misfit(found.start(2), "a bass is a note name")
    note = _named(letter, word, dialect.german)
    return found.start(), Note(note.letter, note.accidental + 1) if plus else note


_NUMBER_AFTER_FLAT = re.compile(r"b\d")
_FLAT_ROOT = re.compile(r"[CF]b(?:9|13|5)|[A-G]bb(?:5|9|13|11)(?!\d)")


def _flat_is_alteration(symbol: str, dialect: Dialect, doubts: list[str]) -> bool:
    """Whether a flat after the letter alters a number: ``Cb9`` meant as C7♭9."""
    if not _FLAT_ROOT.match(symbol):
        return False
    doubts.append("a flat straight after the letter is read as the root's; brackets make it alter")
    return dialect.flat_root == "alteration" and symbol[1:3] != "bb"


def _without_alternate(text: str, position: int, dialect: Dialect) -> str:
    found = re.search(r"\(([A-Ga-gH][^()]*)\)\s*$", text[position:])
    if found is None:
        return text
    _read_plain(found[1], Dialect(german=dialect.german))
    return text[: position + found.start()]


def _cut(text: str, position: int) -> list[Token]:
    """Cut the part after the root into tokens; raise at the first character that fits none."""
    furthest = [position]
    tokens = _cut_from(text, position, (), furthest, set())
    if tokens is None:
        raise Misfit(furthest[0], "what follows the root is a quality, a number or an alteration")
    return list(tokens)


def _cut_from(
    text: str, position: int, done: tuple[Token, ...], furthest: list[int], dead: set[int]
) -> tuple[Token, ...] | None:
    if position >= len(text):
        return done
    for token, end in _candidates(text, position, first=not done):
        furthest[0] = max(furthest[0], end if end < len(text) else furthest[0])
        if end not in dead:
            rest = _cut_from(text, end, (*done, token), furthest, dead)
            if rest is not None:
                return rest
    dead.add(position)
    return None


def _candidates(text: str, position: int, first: bool) -> Iterator[tuple[Token, int]]:
    """Yield the tokens that could stand here, the longest first."""
    found: list[tuple[int, Token]] = []
    for kind, word in _SPELLINGS:
        if text.startswith(word, position):
            dot = 1 if text.startswith(".", position + len(word)) and len(word) > 1 else 0
            found.append((position + len(word) + dot, Token(kind, word, position)))
    for kind, pattern in _PATTERNS:
        match = pattern.match(text, position)
        if match and not (kind == "alter" and first and _is_quality_sign(match)):
            parts = tuple(part or "" for part in match.groups())
            found.append((match.end(), Token(kind, parts[-1], position, parts[0])))
    for end, token in sorted(found, key=lambda pair: -pair[0]):
        yield token, end


def _is_quality_sign(match: re.Match[str]) -> bool:
    """Whether + or - straight after the root names the quality: ``C-7``, ``C+9``, not ``C-5``."""
    return match[1] in "+-" and match[2] != "5"


def _unreadable(text: str, misfit: Misfit, dialect: Dialect) -> HarmonyError:
    near = _near(text, misfit.column, dialect)
    return HarmonyError(
        f"{text!r} is no chord symbol that can be read" if text.strip() else "no chord symbol",
        place=Place("chord symbol", None, misfit.column + 1, text[:_LONGEST]),
        rule=misfit.rule,
        mend=", ".join(near) if near else '"C", "Am7", "F#7b9" or "N.C."',
    )


def _near(text: str, column: int, dialect: Dialect) -> list[str]:
    """Return up to three symbols like the unreadable one that can be read."""
    stripped = text.strip()[:_LONGEST]
    guesses = [stripped[:1].upper() + stripped[1:].lower(), text[:column] + text[column + 1 :]]
    guesses += [text[:end] for end in range(min(column, _LONGEST), 0, -1)]
    root = _ROOT.match(stripped[:1].upper() + stripped[1:])
    if root:
        suffixes = list(BY_SUFFIX)
        close = difflib.get_close_matches(stripped[root.end() :].lower(), suffixes, 3, 0.4)
        guesses[1:1] = [root[0] + suffix for suffix in close]
    readable = [guess.strip() for guess in guesses if guess.strip() and _reads(guess, dialect)]
    return [guess for guess in dict.fromkeys(readable) if guess != stripped][:3]


def _reads(text: str, dialect: Dialect) -> bool:
    try:
        return _read(text.strip(), dialect).chord is not None
    except Misfit:
        return False


# Other published styles of the usual qualities; what is missing here is written plainly.
_STYLES: dict[str, dict[str, str]] = {
    "jazz": {
        "m": "-", "m7": "-7", "m6": "-6", "maj7": "Δ7", "maj9": "Δ9", "dim7": "°7", "m7b5": "ø7",
        "mmaj7": "-Δ7", "7#5": "+7", "m6/9": "-6/9", "dim(maj7)": "°(Δ7)", "m11": "-11",
    },
    "long": {
        "m": "min", "m7": "min7", "m6": "min6", "m9": "min9", "m11": "min11", "m13": "min13",
        "+": "aug", "7#5": "aug7", "m7b5": "min7b5", "mmaj7": "min(maj7)", "mmaj9": "min(maj9)",
        "m6/9": "min6/9", "mb5": "minb5", "m(add9)": "min(add9)",
    },
}  # fmt: skip
STYLES = ("plain", "printed", "jazz", "long")


def write_symbol(chord: Chord, style: str = "plain") -> str:
    """Write a chord's symbol.

    Parameters
    ----------
    chord : Chord
    style : {"plain", "printed", "jazz", "long"}
        ASCII; as printed with ♭ ♯ °; with - Δ ø °; with words.

    Examples
    --------
    >>> chord = Chord.parse("Bbm7b5/E")
    >>> [write_symbol(chord, style) for style in STYLES]
    ['Bbm7b5/E', 'B♭m7♭5/E', 'Bbø7/E', 'Bbmin7b5/E']
    """
    if style not in STYLES:
        raise HarmonyError(f"{style!r} is no style", mend=" or ".join(map(repr, STYLES)))
    name = _unicode if style == "printed" else _ascii
    bass = "" if chord.bass == chord.root else "/" + name(chord.bass)
    return name(chord.root) + suffix_of(chord.degrees, style) + bass


def _ascii(note: Note) -> str:
    return note.name


def _unicode(note: Note) -> str:
    return note.unicode


_ALTERED_DOMINANT = re.compile(r"(7|9|13|maj7|dim)[b#(]")


@lru_cache(maxsize=2048)
def suffix_of(degrees: tuple[Degree, ...], style: str = "plain") -> str:
    """Return the shortest suffix that reads back as these degrees.

    Examples
    --------
    >>> suffix_of(Chord.parse("C13#11").degrees), suffix_of(Chord.parse("C7(b9,#9)").degrees)
    ('13#11', '7(b9,#9)')
    """
    exact = BY_DEGREES.get(degrees)
    if exact is not None:
        return _styled(exact, style)
    found = list(_spellings(degrees, style))
    if not found:
        raise HarmonyError(
            "no chord symbol says " + " ".join(degree.name for degree in degrees),
            rule="a symbol names a chord of thirds with alterations, additions and omissions",
        )
    return min(found, key=lambda pair: pair[0])[1]


def _styled(quality: Quality, style: str) -> str:
    if style == "printed":
        return quality.printed
    return _STYLES.get(style, {}).get(quality.suffix, quality.suffix)


def _spellings(degrees: tuple[Degree, ...], style: str) -> Iterator[tuple[int, str]]:
    """Yield suffixes that say these degrees, made from each named quality, with their length."""
    for quality in QUALITIES:
        changes = _changes(quality.degrees, degrees)
        if _ALTERED_DOMINANT.match(quality.suffix):
            continue  # C7(b9,#9) says both ninths at once; C7b9#9 does not
        # Two or more changes stand in brackets; one does where it would read as the root's.
        forms = ("({})",) if len(changes) > 1 else ("{}", "({})")
        for form in forms:
            ending = form.format(",".join(changes))
            if _says(quality.suffix + ending, degrees):
                shown = _print_signs(ending) if style == "printed" else ending
                omissions = sum(word.startswith("no") for word in changes)
                words = len(quality.suffix + ending) + 3 * omissions
                yield words, _styled(quality, style) + shown
                break


def _changes(base: tuple[Degree, ...], wanted: tuple[Degree, ...]) -> list[str]:
    """Return what to write after a base so that it becomes the wanted degrees."""
    extra = [d for d in wanted if d not in base]
    numbers = {d.number for d in extra}
    words = [_added(d) for d in extra]
    return words + [f"no{d.number}" for d in base if d not in wanted and d.number not in numbers]


def _added(degree: Degree) -> str:
    if degree == Degree(7):
        return "maj7"
    return degree.name if degree.alter else f"add{degree.number}"


def _print_signs(text: str) -> str:
    return re.sub(r"[b#](?=[b#]*\d)", lambda m: "♭" if m[0] == "b" else "♯", text)


def _says(suffix: str, degrees: tuple[Degree, ...]) -> bool:
    try:
        chord = _read("C" + suffix, DEFAULT).chord
    except Misfit:
        return False
    return chord is not None and chord.root == Note("C") and chord.degrees == degrees
