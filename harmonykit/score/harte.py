"""Chord labels of annotated corpora: ``F#:7(b9)/4``, read and written.

A label is a root, a colon, a shorthand for some degrees, other degrees in brackets (``*5`` leaves
the fifth out), and a slash with the bass as an interval above the root.  ``N`` is silence.  The
sixteen shorthands are those of the publication; a few that annotators added since are read too, and
never written.

References
----------
C. Harte, M. Sandler, S. Abdallah and E. Gómez, "Symbolic Representation of Musical Chords: A
Proposed Syntax for Text Annotations", ISMIR 2005.
"""

from __future__ import annotations

import re

from harmonykit.errors import HarmonyError, Place
from harmonykit.theory.chord import Chord
from harmonykit.theory.degree import Degree, degrees
from harmonykit.theory.interval import SEMITONES
from harmonykit.theory.note import Note

SHORTHANDS = {
    "maj": "1 3 5", "min": "1 b3 5", "dim": "1 b3 b5", "aug": "1 3 #5", "maj7": "1 3 5 7",
    "min7": "1 b3 5 b7", "7": "1 3 5 b7", "dim7": "1 b3 b5 bb7", "hdim7": "1 b3 b5 b7",
    "minmaj7": "1 b3 5 7", "maj6": "1 3 5 6", "min6": "1 b3 5 6", "9": "1 3 5 b7 9",
    "maj9": "1 3 5 7 9", "min9": "1 b3 5 b7 9", "sus4": "1 4 5",
}  # fmt: skip
# Read, not written: they came after the publication.
LATER = {
    "sus2": "1 2 5", "5": "1 5", "1": "1", "11": "1 3 5 b7 9 11", "maj11": "1 3 5 7 9 11",
    "min11": "1 b3 5 b7 9 11", "13": "1 3 5 b7 9 11 13", "maj13": "1 3 5 7 9 11 13",
    "min13": "1 b3 5 b7 9 11 13",
}  # fmt: skip
_DEGREES_OF = {name: degrees(spelled) for name, spelled in (SHORTHANDS | LATER).items()}
_LABEL = re.compile(
    r"(?P<root>[A-G][b#]*)(?::(?P<short>[a-z0-9]*)(?:\((?P<list>[^()]*)\))?)?(?:/(?P<bass>.+))?"
)
_DEGREE = re.compile(r"(\*?)([b#]*)([1-9]|1[0-3])")
_LOWER = {8: 1, 10: 3, 12: 5}


def read_harte(label: str) -> Chord | None:
    """Read a chord label.

    Parameters
    ----------
    label : str
        A label of an annotated corpus; ``"N"`` is no chord.

    Returns
    -------
    Chord or None
        None for ``N``, silence.

    Raises
    ------
    HarmonyError
        If it is no label: with a caret, where one place is at fault.

    References
    ----------
    C. Harte, M. Sandler, S. Abdallah and E. Gomez, ISMIR, London 2005.

    Examples
    --------
    >>> hk.score.read_harte("F#:7(b9)/4")
    Chord.parse('F#7b9/B')
    >>> [hk.score.read_harte(label) for label in ("C:7(*5)", "N")]
    [Chord.parse('C7no5'), None]
    """
    text = label.strip()
    if text == "N":
        return None
    found = _LABEL.fullmatch(text)
    if found is None:
        raise _misfit(text, 0, "a root, a colon, a shorthand, degrees in brackets, /interval")
    root = Note.parse(found["root"])
    short, listed = found["short"], found["list"]
    if ":" in text and not short and listed is None:
        raise _misfit(text, found.end("root"), "a shorthand or degrees follow the colon")
    if short and short not in _DEGREES_OF:
        raise _misfit(text, found.start("short"), "shorthands are " + " ".join(SHORTHANDS))
    base = _DEGREES_OF[short or "maj"] if short or listed is None else (Degree(1),)
    tones = _changed(base, listed, text, found.start("list"))
    bass = None
    if found["bass"] is not None:
        bass = _one(found["bass"], text, found.start("bass"))[1].over(root)
    return Chord.build(root, tones, bass)


def _changed(
    base: tuple[Degree, ...], listed: str | None, text: str, column: int
) -> tuple[Degree, ...]:
    """Return the degrees with those of a list added, and those with a star left out."""
    tones = set(base)
    for word in (listed or "").split(",") if listed else ():
        omitted, degree = _one(word.strip(), text, column)
        if omitted and degree not in tones:
            raise _misfit(text, column, f"the chord has no {degree.name} to leave out")
        tones = tones - {degree} if omitted else tones | {degree}
        column += len(word) + 1
    return tuple(sorted(tones))


def _one(word: str, text: str, column: int) -> tuple[bool, Degree]:
    """Return whether a degree has a star, and the degree; an octave higher is the same degree."""
    found = _DEGREE.fullmatch(word)
    if found is None:
        raise _misfit(text, column, "a degree is flats or sharps and a number from 1 to 13")
    number = int(found[3])
    return bool(found[1]), Degree(
        _LOWER.get(number, number), found[2].count("#") - found[2].count("b")
    )


def _misfit(text: str, column: int, rule: str) -> HarmonyError:
    return HarmonyError(
        f"{text[:64]!r} is not a chord label",
        place=Place("chord label", None, column + 1, text[:64]),
        rule=rule,
        mend='"C:maj", "F#:min7", "G:7(b9)/3" or "N"',
    )


def write_harte(chord: Chord | None) -> str:
    """Write a chord's label with the sixteen published shorthands; ``N`` for no chord.

    Parameters
    ----------
    chord : Chord, optional
        ``None`` is written ``"N"``.

    Returns
    -------
    str

    References
    ----------
    C. Harte, M. Sandler, S. Abdallah and E. Gomez, ISMIR, London 2005.

    Examples
    --------
    >>> [hk.score.write_harte(hk.Chord.parse(each)) for each in ("F#m7b5/E", "C7b5")]
    ['F#:hdim7/b7', 'C:7(*5,b5)']
    >>> hk.score.write_harte(hk.Chord.parse("Gsus2")), hk.score.write_harte(None)
    ('G:(1,2,5)', 'N')
    """
    if chord is None:
        return "N"
    body = min((_over(name, chord.degrees) for name in ("", *SHORTHANDS)), key=_plainness)
    bass = "" if chord.bass == chord.root else "/" + _interval(chord.root, chord.bass)
    return f"{chord.root.name}:{body}{bass}"


def _over(name: str, wanted: tuple[Degree, ...]) -> str:
    """Return degrees as a shorthand with what it lacks and what it has too many."""
    base = _DEGREES_OF[name] if name else ()
    words = [f"*{degree.name}" for degree in base if degree not in wanted]
    words += [degree.name for degree in wanted if degree not in base]
    return name + (f"({','.join(words)})" if words else "")


def _plainness(body: str) -> tuple[int, int, int]:
    """Return a label's place among others: a star counts as two degrees."""
    words = body.count(",") + ("(" in body)
    return words + body.count("*"), body.count("*"), len(body)


def _interval(root: Note, bass: Note) -> str:
    """Return the bass as an interval of the major scale above the root."""
    interval = root.interval_to(bass)
    place = interval.steps % 7
    alter = (interval.semitones - SEMITONES[place] + 6) % 12 - 6
    return Degree(place + 1, alter).name
