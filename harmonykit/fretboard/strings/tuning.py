"""Tunings as people type them: ``"G4 C4 E4 A4"``, ``"G3G3 D4D4 A4A4"``, ``"G4@5 D3 G3 B3 D4"``.

Strings are parted by spaces or commas, each a note with its octave.  Strings that are pressed
together are written together, the one that names them first.  A string that is shorter than the
neck has the fret at which it starts behind an @.
"""

import re

from harmonykit.errors import HarmonyError, Place, attempt, need_text
from harmonykit.theory.note import ACCIDENTALS, Note
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted

FEWEST_STRINGS, MOST_STRINGS = 3, 10
# C0 to C8: below nothing is heard as a note, above no string is strung.
LOWEST_MIDI, HIGHEST_MIDI = 12, 108
_TOGETHER = re.compile(f"[A-Ga-g][{''.join(ACCIDENTALS)}]*-?[0-9]+")
_EXAMPLE = '"G4 C4 E4 A4"'


@dataclass(frozen=True, slots=True)
class Stringing:
    """What a tuning says of each string.

    Parameters
    ----------
    strings : tuple of Note
        The string that names each course, with its octave.
    doubles : tuple of tuple of Note
        The strings beside it that are pressed with it; empty where no string is doubled.
    starts : tuple of int
        The fret at which a short string starts, 0 for a whole one; empty where all are whole.
    """

    strings: tuple[Note, ...]
    doubles: tuple[tuple[Note, ...], ...] = ()
    starts: tuple[int, ...] = ()


def read_tuning(text: str) -> Stringing:
    """Return the strings of a typed tuning.

    Raises
    ------
    HarmonyError
        With a caret under the string that does not fit.

    Examples
    --------
    >>> [note.midi for note in read_tuning("D3 G3 B3 E4").strings]
    [50, 55, 59, 64]
    >>> read_tuning("G4@5 D3 G3 B3 D4").starts
    (5, 0, 0, 0, 0)
    >>> [str(note) for double in read_tuning("E2E3 A2A3 D3D4").doubles for note in double]
    ['E3', 'A3', 'D4']
    """
    need_text(text, "the open strings of an instrument", _EXAMPLE)
    found = tuple(re.finditer(r"[^\s,]+", text))
    read = [_read_string(part.group(), part.start() + 1, text) for part in found]
    strings = tuple(course[0] for course, _ in read)
    doubles = tuple(course[1:] for course, _ in read)
    starts = tuple(start for _, start in read)
    stringing = Stringing(strings, doubles if any(doubles) else (), starts if any(starts) else ())
    try:
        check_stringing(stringing)
    except HarmonyError as error:
        raise error.at(Place("tuning", 1, _misfit(stringing, found), text)) from None
    return stringing


def is_tuning(text: str) -> bool:
    """Whether a text names strings, and is not the name of an instrument.

    Examples
    --------
    >>> is_tuning("G3 D4 A4 E5"), is_tuning("7-string guitar")
    (True, False)
    """
    return bool(attempt(read_tuning, text))


def write_tuning(stringing: Stringing) -> str:
    """Return a tuning as ``read_tuning`` reads it.

    Examples
    --------
    >>> write_tuning(read_tuning("g4@5, d3 g3 b3 d4"))
    'G4@5 D3 G3 B3 D4'
    """
    count = len(stringing.strings)
    doubles = stringing.doubles or ((),) * count
    starts = stringing.starts or (0,) * count
    return " ".join(
        "".join(map(str, (note, *beside))) + (f"@{start}" if start else "")
        for note, beside, start in zip(stringing.strings, doubles, starts, strict=True)
    )


def check_stringing(stringing: Stringing) -> None:
    """Refuse too few or too many strings, and strings that no instrument has.

    Raises
    ------
    HarmonyError
        If there are not 3 to 10, one has no pitch of a string, or a double another note.
    """
    strings = stringing.strings
    if not FEWEST_STRINGS <= len(strings) <= MOST_STRINGS:
        raise HarmonyError(
            f"{counted(len(strings), 'string')} given",
            rule=f"an instrument has {FEWEST_STRINGS} to {MOST_STRINGS} strings",
            mend=_EXAMPLE,
        )
    for about in (stringing.doubles, stringing.starts):
        if about and len(about) != len(strings):
            raise HarmonyError(
                f"{len(strings)} strings, and {len(about)} given as doubled or short",
                rule="doubles and starts name each string, or none",
            )
    for note, beside in zip(strings, stringing.doubles or ((),) * len(strings), strict=True):
        for string in (note, *beside):
            _check_string(string)
        _check_doubles(note, beside)


def _check_string(note: Note) -> None:
    if not _has_pitch(note):
        raise HarmonyError(
            f"the string {note} has no playable pitch",
            rule="an open string is written with its octave, C0 to C8; C4 is middle C",
            mend=f'"{note.at(4)}"',
        )


def _has_pitch(note: Note) -> bool:
    return note.octave is not None and LOWEST_MIDI <= note.midi <= HIGHEST_MIDI


def _check_doubles(note: Note, beside: tuple[Note, ...]) -> None:
    for double in beside:
        if double.pitch_class != note.pitch_class:
            raise HarmonyError(
                f"the string {note} cannot be doubled by {double}",
                rule="strings pressed together sound one note, in unison or in octaves",
                mend=f'a space between two strings: "{note} {double}"',
            )


def _misfit(stringing: Stringing, found: tuple[re.Match[str], ...]) -> int:
    """Return the column of the first string that is too many or does not fit, else the end."""
    doubles = stringing.doubles or ((),) * len(stringing.strings)
    courses = zip(stringing.strings, doubles, found, strict=True)
    for place, (note, beside, part) in enumerate(courses):
        fits = all(map(_has_pitch, (note, *beside)))
        alike = all(double.pitch_class == note.pitch_class for double in beside)
        if place >= MOST_STRINGS or not (fits and alike):
            return part.start() + 1
    return found[-1].end() + 1 if found else 1


def _read_string(part: str, column: int, text: str) -> tuple[tuple[Note, ...], int]:
    """Return the notes of one course, and the fret at which it starts."""
    named, at, fret = part.partition("@")
    if at and not (fret.isascii() and fret.isdigit() and len(fret) <= 2):
        raise HarmonyError(
            f"{fret!r} is not a fret for a string to start at",
            place=Place("tuning", 1, column + len(named) + 1, text),
            rule="after an @ comes the fret at which a short string starts",
            mend=f'"{named}@5"',
        )
    course = [found.group() for found in _TOGETHER.finditer(named)]
    if len(course) < 2 or "".join(course) != named:
        course = [named]
    return tuple(_read_note(note, column, text) for note in course), int(fret or 0)


def _read_note(part: str, column: int, text: str) -> Note:
    try:
        note = Note.parse(part)
    except HarmonyError as error:
        place = Place("tuning", 1, column + error.column - 1, text)
        raise HarmonyError(
            f"{part!r} is not a string of a tuning",
            place=place,
            rule=f"each string is a note with its octave, with a space between strings: {_EXAMPLE}",
        ) from None
    if note.octave is None:
        raise HarmonyError(
            f"the string {part!r} has no octave",
            place=Place("tuning", 1, column, text),
            rule="an open string is written with its octave; C4 is middle C",
            mend=f'"{note.at(4)}", or an instrument by its name: Instrument.named("ukulele")',
        )
    return note
