"""Reading one chord symbol: what stands round the suffix, and the look-alikes of it.

The rules stand in ``roots`` (roots and basses), ``tokens`` (what the pieces of the rest are),
``sort`` (what each says) and ``said`` (what they mean together).  What does not fit is raised as
a ``Misfit``; ``symbol`` makes the message of it.
"""

import re
from functools import lru_cache

from harmonykit.theory.degree import Degree
from harmonykit.theory.note import Note
from harmonykit.theory.symbols.dialect import Dialect
from harmonykit.theory.symbols.roots import read_bass, read_root
from harmonykit.theory.symbols.said import Built, Said, build_degrees, over_chord
from harmonykit.theory.symbols.tokens import Misfit, Token, cut, normalise
from harmonykit.values import dataclass, replace

_SILENCE = re.compile(r"n\.? ?c\.?|\(n\.? ?c\.?\)|no ?chord|N", re.IGNORECASE)
_ALTERNATE = re.compile(r"\((?!b\d)([A-Ga-gH][^()]*)\)\s*$")
_FLAT_ROOT = re.compile(r"[CF]b(?:9|13|5)|[A-G]bb(?:5|9|13|11)(?!\d)")
# A triad there hardly ever is; an x may be a slip, or a mark on the sheet.
_CROSS_ALONE = re.compile(r"[A-Ga-g]x")
# The bass as a number, 3 or 5 alone; after a colon (Harte et al. 2005) any degree.
_NUMBERED_BASS = re.compile(r"/ ?(b?3|5)$")
_LEFT_OUT = re.compile(r"(?:omit|no)[. ]?\d[\d/,a-z]*$", re.IGNORECASE)
_LABEL_BASS = re.compile(r"/([b#]*)(13|11|9|[2-7])$")
_UPPER = re.compile(r"\||\sover\s")
_OTHER_CHORD = re.compile(r"/ ?[A-G][b#]?\S+$")
_TWO_BASSES = re.compile(r"(?:/ ?[A-G][b#]? ?){2}$")
# A seventh in the brackets of a label is the major one (Harte et al. 2005).
_LABEL_SEVENTH = re.compile(r"(?<=[(,])7(?=[,)])")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What was read: the chord, or None where no chord sounds, and what schools read otherwise.

    Examples
    --------
    >>> print(*read("C11", Dialect()).doubts)
    11 is read as all thirds up to it; some mean 9sus4
    """

    said: Said | None
    doubts: tuple[str, ...] = ()


@lru_cache(maxsize=4096)
def read(text: str, dialect: Dialect) -> Meaning:
    """Read a chord symbol.

    Raises
    ------
    Misfit
        At the column of the text, counted from 0, that does not fit.

    Examples
    --------
    >>> said = read("B♭maj7", Dialect()).said
    >>> said.root, [degree.name for degree in said.degrees]
    (Note.parse('Bb'), ['1', '3', '5', '7'])
    """
    plain, columns = normalise(text)
    if _SILENCE.fullmatch(plain.strip()) and plain.strip() != "n":
        return Meaning(None)
    try:
        return _read_plain(plain, dialect)
    except Misfit as misfit:
        column = columns[misfit.column] if misfit.column < len(columns) else len(text.rstrip())
        raise Misfit(column, misfit.rule) from None


def _read_plain(text: str, dialect: Dialect) -> Meaning:
    start = len(text) - len(text.lstrip())
    if text.startswith("(", start):
        return _read_optional(text, start, dialect)
    parted = _UPPER.search(text) if "|" in text or "over" in text else None
    if parted:
        reading = _read_over(text, parted, dialect)
        if reading is not None:
            return reading
    return _read_one(text, start, dialect)


def _read_optional(text: str, start: int, dialect: Dialect) -> Meaning:
    """Read a chord in brackets, which charts have for one that may be left out."""
    end = len(text.rstrip()) - 1
    if text[end] != ")" or end == start:
        raise Misfit(start, "this bracket is never closed")
    inner = " " * (start + 1) + text[start + 1 : end]
    reading = _read_one(inner, len(inner) - len(inner.lstrip()), dialect)
    return replace(
        reading, doubts=("a chord in brackets is read; some leave it out", *reading.doubts)
    )


def _read_over(text: str, parted: re.Match[str], dialect: Dialect) -> Meaning | None:
    """Read two chords at once, the upper typed first: ``D|C7``; None where a bass is meant."""
    lower_text = " " * parted.end() + text[parted.end() :]
    if parted[0] != "|" and read_bass(text, parted.start(), dialect)[1] is not None:
        return None
    upper = _read_plain(text[: parted.start()], dialect)
    lower = _read_one(lower_text, len(lower_text) - len(lower_text.lstrip()), dialect)
    assert upper.said is not None and lower.said is not None
    chord = over_chord(upper.said, lower.said)
    if chord is None:
        raise Misfit(
            parted.start(), "the upper chord has notes that are not tensions of the lower chord"
        )
    said = f"the polychord is read as one chord with root {lower.said.root.name}"
    return Meaning(chord, (said, *upper.doubts, *lower.doubts))


def _read_one(text: str, start: int, dialect: Dialect) -> Meaning:
    root = read_root(text, start, dialect)
    note, position = root.note, root.end
    if dialect.alternates:
        text = _without_alternate(text, position, dialect)
    label = text.startswith(":", position)
    position += label
    end, bass = read_bass(text, position, dialect)
    body = text[:end].rstrip()
    doubts = _doubts_of_the_root(text[start:end], dialect)
    if "bass" in text[end:]:
        doubts += (
            "a bass in words is read as the lowest note; some mean it for the bass player alone",
        )
    before: tuple[Token, ...] = _MINOR if root.minor else ()
    if (
        _FLAT_ROOT.match(text[start:end])
        and dialect.flat_root == "alteration"
        and note.accidental == -1
    ):
        note, position = Note(note.letter), start + 1
        before = () if text.startswith("b5", position) else _SEVENTH  # C(b5), but C7b9
    if label:
        body = body[:position] + _LABEL_SEVENTH.sub("maj7", body[position:])
    suffix, numbered = _numbered_bass(
        body[position:], label=label and bass is None, allowed=bass is None
    )
    try:
        built = _read_suffix(suffix, before, dialect)
    except Misfit as misfit:
        rule = _rule_after_slash(text[start:], bass) or misfit.rule
        raise Misfit(position + misfit.column, rule) from None
    doubts = (*doubts, *built.doubts)
    if numbered:
        bass = _degree_of(numbered, built, label=label, column=position + len(suffix)).over(note)
        doubts += () if label else ("a number after a slash is read as a chord tone in the bass",)
    return Meaning(Said(note, built.degrees, bass or note), doubts)


def _rule_after_slash(text: str, bass: Note | None) -> str:
    """Return the rule that a second chord or a second bass breaks, or nothing."""
    if _TWO_BASSES.search(text):
        return "a symbol has one bass"
    if bass is None and _OTHER_CHORD.search(text):
        return "a slash is followed by one note; a polychord is typed D|C7"
    return ""


_MINOR = (Token("min", "m", 0),)
_SEVENTH = (Token("number", "7", 0),)
_OWN_KIND = ("min", "minus", "dim", "half")


@lru_cache(maxsize=2048)
def _read_suffix(text: str, before: tuple[Token, ...], dialect: Dialect) -> Built:
    """Read what follows the root, which is the same over every root."""
    tokens = cut(text)
    if before == _MINOR and tokens and tokens[0].kind in _OWN_KIND:
        before = ()  # c° and am say their kind themselves
    return build_degrees([*before, *tokens], dialect)


def _doubts_of_the_root(text: str, dialect: Dialect) -> tuple[str, ...]:
    if _FLAT_ROOT.match(text):
        return (dialect.doubt("flat_root"),)
    if text.startswith("Do") and not dialect.latin:
        return ("Do is read as D diminished; in Latin naming it is C",)
    if _CROSS_ALONE.fullmatch(text.rstrip()):
        return (f"{text[:2]} is read as {text[0]} double sharp",)
    return ()


def _numbered_bass(suffix: str, *, label: bool, allowed: bool) -> tuple[str, str]:
    """Part a bass that is a number from what stands before it."""
    if not allowed or "/" not in suffix:
        return suffix, ""
    found = (_LABEL_BASS if label else _NUMBERED_BASS).search(suffix)
    if found is None or _LEFT_OUT.search(suffix):
        return suffix, ""
    return suffix[: found.start()].rstrip(), found[0].lstrip("/ ")


def _degree_of(typed: str, built: Built, *, label: bool, column: int) -> Degree:
    """Return the degree that a number in the bass means: 3 is the third that the chord has."""
    if label:
        return Degree.parse(typed)
    asked = Degree.parse(typed)
    for degree in built.degrees:
        if degree == asked or (not asked.alter and degree.number == asked.number):
            return degree
    raise Misfit(column, f"the chord has no {typed} for the bass")


def _without_alternate(text: str, position: int, dialect: Dialect) -> str:
    """Return the symbol without another chord in brackets after it, which must be readable."""
    found = _ALTERNATE.search(text, position)
    small = found is not None and found[1][0].islower()
    if found is None or (small and not dialect.lower_case_minor):
        return text
    try:
        _read_plain(found[1], replace(dialect, alternates=False))
    except Misfit as misfit:
        if small:  # C(add9) beside c(am)
            return text
        raise Misfit(found.start(1) + misfit.column, misfit.rule) from None
    return text[: found.start()]
