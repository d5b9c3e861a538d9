"""Chord symbols: what a text means, or what is wrong with it; and the usual text of a chord.

Reading is done by tables: ``tokens`` cuts a symbol into words and signs, ``sort`` says what each
of them does in the chord, ``said`` makes degrees of that, ``read`` adds root and bass (``roots``).
What schools read differently follows a ``Dialect``.

Writing looks for the shortest text that reads back as the same degrees.  It cannot write what the
reader does not read: every spelling that is not in the table of qualities is read back before it
is used.
"""

import difflib
import re
from collections.abc import Iterator
from functools import lru_cache
from itertools import chain, combinations

from harmonykit.errors import HarmonyError, Place, need_text, wrong_kind
from harmonykit.theory.degree import Degree, degrees
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.theory.symbols.quality import BY_DEGREES, BY_SUFFIX, QUALITIES, Quality
from harmonykit.theory.symbols.read import Meaning, read
from harmonykit.theory.symbols.roots import ROOT
from harmonykit.theory.symbols.said import Said
from harmonykit.theory.symbols.tokens import LONGEST, Misfit

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
# Qualities that take no further change: an alteration, an addition or a bare fifth.
_CHANGED_ALREADY = re.compile(r"(7|9|13|maj7|dim)[b#(]|m?\(?add|5$")
# What the last resort adds tones to: a bare fifth, or one with any suspensions.
_BARE = {
    "".join(f"sus{word}" for word in words) or "5": degrees(" ".join(("1", *words, "5")))
    for size in range(5)
    for words in combinations(("b2", "2", "4", "#4"), size)
}
_AS_PLAYED = ("13(no11)", "maj13(no11)", "13no11", "maj13no11")
_SIXTH = Degree(6)
_ADDED_SEVENTH = {Degree(7): "maj7", Degree(7, -1): "7", Degree(7, -2): "bb7"}


def write_symbol(chord: Said, style: str = "plain") -> str:
    """Write a chord's symbol.

    Parameters
    ----------
    chord : Said
        A chord is one.
    style : {"plain", "printed", "jazz", "long"}
        ASCII; as printed with ♭ ♯ °; with - Δ ø °; with words.

    Examples
    --------
    >>> from harmonykit.theory.chord import Chord
    >>> chord = Chord.parse("Bbm7b5/E")
    >>> [write_symbol(chord, style) for style in STYLES]
    ['Bbm7b5/E', 'B♭m7♭5/E', 'Bbø7/E', 'Bbmin7b5/E']
    """
    if style not in STYLES:
        raise HarmonyError(
            f"{style!r} is not a style of chord symbols", mend=" or ".join(map(repr, STYLES))
        )
    root, bass = chord.root.name, chord.bass.name
    if style == "printed":
        root, bass = chord.root.unicode, chord.bass.unicode
    return root + suffix_of(chord.degrees, style) + ("" if bass == root else f"/{bass}")


@lru_cache(maxsize=2048)
def suffix_of(wanted: tuple[Degree, ...], style: str = "plain") -> str:
    """Return the shortest suffix that reads back as these degrees.

    Examples
    --------
    >>> suffix_of(degrees("1 3 5 b7 9 #11 13")), suffix_of(degrees("1 3 5 b7 b9 #9"))
    ('13#11', '7(b9,#9)')
    """
    exact = BY_DEGREES.get(wanted)
    if exact is not None:
        return _styled(exact, style)
    found = list(_spellings(wanted, style)) or list(_spelled_out(wanted, style))
    if not found:
        raise HarmonyError(
            "no chord symbol for " + " ".join(degree.name for degree in wanted),
            rule="a symbol names a chord built in thirds, with altered, added and omitted notes",
        )
    return min(found, key=lambda pair: pair[0])[1]


def _styled(quality: Quality, style: str) -> str:
    if style == "printed":
        return quality.printed
    return _STYLES.get(style, {}).get(quality.suffix, quality.suffix)


def _spellings(wanted: tuple[Degree, ...], style: str) -> Iterator[tuple[int, str]]:
    """Yield suffixes that say these degrees, made from each named quality, with their length."""
    for quality in QUALITIES:
        changes = _changes(quality.degrees, wanted)
        sixths = {d for d in wanted if d.number == 6} - {_SIXTH}
        if _CHANGED_ALREADY.match(quality.suffix) or (sixths and _SIXTH in quality.degrees):
            continue  # C7(b9,#9) says both ninths at once, C7b9#9 does not
        # Two or more changes stand in brackets; one does where it would read as the root's.
        for form in ("({})",) if len(changes) > 1 else ("{}", "({})"):
            ending = form.format(",".join(changes))
            if _says(quality.suffix + ending, wanted):
                shown = _print_signs(ending) if style == "printed" else ending
                yield _weight(quality.suffix + ending), _styled(quality, style) + shown
                break


def _changes(base: tuple[Degree, ...], wanted: tuple[Degree, ...]) -> list[str]:
    """Return what to write after a base so that it becomes the wanted degrees."""
    extra = [d for d in wanted if d not in base]
    numbers = {d.number for d in extra}
    seventh = any(d.number in (6, 7) for d in wanted)
    words = [_added(d, seventh=seventh) for d in extra]
    return words + [f"no{d.number}" for d in base if d not in wanted and d.number not in numbers]


def _added(degree: Degree, *, seventh: bool) -> str:
    """Return how a tone is added; an altered tension alone would ask for a seventh."""
    if degree == Degree(7):
        return "maj7"
    tension = degree.number > 7 and not seventh
    return degree.name if degree.alter and not tension else f"add{degree.name}"


def _spelled_out(wanted: tuple[Degree, ...], style: str) -> Iterator[tuple[int, str]]:
    """Yield suffixes of a bare fifth or a suspension to which every other tone is added."""
    for base, tones in _BARE.items():
        missing = [f"no{d.number}" for d in tones if d not in wanted]
        added = [f"add{_ADDED_SEVENTH.get(d, d.name)}" for d in wanted if d not in tones]
        ending = f"({','.join(missing + added)})" if missing or added else ""
        if _says(base + ending, wanted):
            yield (
                _weight(base + ending),
                base + (_print_signs(ending) if style == "printed" else ending),
            )


def _weight(suffix: str) -> int:
    """Return how long a suffix is; leaving tones out is the last way to name a chord.

    A 13 without its eleventh is what players take 13 to be.
    """
    if suffix in _AS_PLAYED:
        return len("13")
    return len(suffix) + 8 * suffix.count("no")


def _print_signs(text: str) -> str:
    return re.sub(r"[b#](?=[b#]*\d)", lambda m: "♭" if m[0] == "b" else "♯", text)


def _says(suffix: str, wanted: tuple[Degree, ...]) -> bool:
    try:
        said = read("C" + suffix, DEFAULT).said
    except Misfit:
        return False
    return said is not None and said.root.name == "C" and said.degrees == wanted


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
    place = Place("chord symbol", None, misfit.column + 1, text[:LONGEST])
    if several := _several(text, dialect):
        said = f"{shown} is {len(several)} chord symbols"
        return HarmonyError(said, place=place, rule="one chord at a time", mend=several[0])
    return HarmonyError(
        f"{shown} is not a chord symbol that can be read"
        if text.strip()
        else "the chord symbol is missing",
        place=place,
        rule=misfit.rule if "naming" in misfit.rule else misfit.rule + said,
        mend=", ".join(near) if near else _LATIN_MEND if dialect.latin else _MEND,
    )


def _several(text: str, dialect: Dialect) -> list[str]:
    """Return the symbols of a text that has more than one and nothing else."""
    words = [word for word in re.split(r"[\s,;]+", text[:LONGEST]) if word.strip("|")]
    return words if len(words) > 1 and all(_reads(word, dialect) for word in words) else []


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
        if said is not None and abs(said.root.accidental) < 2:  # Hx is no B##
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
