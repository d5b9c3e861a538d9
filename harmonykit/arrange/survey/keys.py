"""The twelve keys of a mode as musicians write them, and the way to each.

Of two spellings the one with fewer accidentals; of G flat and F sharp major, and of E flat and D
sharp minor, that have six each, the flat one (common practice, no source).
"""

from __future__ import annotations

from types import MappingProxyType

from harmonykit.errors import HarmonyError
from harmonykit.theory.interval import LETTERS, Interval
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note

TONICS = MappingProxyType(
    {
        "major": tuple("C Db D Eb E F Gb G Ab A Bb B".split()),
        "minor": tuple("C C# D Eb E F F# G G# A Bb B".split()),
    }
)
"""The names of the twelve tonics of each mode, by pitch class."""

ALL = tuple(range(12))
"""The pitch classes of all tonics."""

# The farthest down; seven semitones up are five down.
_LOWEST = -5


def key_on(pitch_class: int, mode: str) -> Key:
    """Return the key of a mode on a pitch class.

    Examples
    --------
    >>> str(key_on(1, "major")), str(key_on(1, "minor"))
    ('Db major', 'C# minor')
    """
    return Key(Note.parse(TONICS[mode][pitch_class]), mode)


def shift(start: Key, end: Key) -> Interval:
    """Return the nearest interval from one tonic to another: five semitones down to six up.

    Examples
    --------
    >>> [shift(Key.parse("F"), key_on(tonic, "major")).name for tonic in (0, 7, 11)]
    ['-P4', 'M2', 'A4']
    """
    rise = (end.tonic.pitch_class - start.tonic.pitch_class - _LOWEST) % 12 + _LOWEST
    letters = LETTERS.index(end.tonic.letter) - LETTERS.index(start.tonic.letter)
    # A whole octave has seven letters: the one nearest to the semitones is meant.
    return Interval(letters + 7 * round((rise * 7 / 12 - letters) / 7), rise)


def read_tonics(text: str) -> tuple[int, ...]:
    """Return the pitch classes of typed tonics, each once; none for ``"written"``.

    Parameters
    ----------
    text : str
        ``"all"``, ``"written"`` (each tune in its own key alone), or tonics with commas between.

    Raises
    ------
    HarmonyError
        If one of them is no note.

    Examples
    --------
    >>> read_tonics("C, G, Bb"), read_tonics("written")
    ((0, 7, 10), ())
    """
    word = text.strip().casefold()
    if word in ("all", "written"):
        return ALL if word == "all" else ()
    return tuple(dict.fromkeys(_tonic(name) for name in text.split(",")))


def _tonic(name: str) -> int:
    try:
        note = Note.parse(name.strip())
    except HarmonyError as error:
        raise HarmonyError(
            f"{name.strip()!r} is no tonic",
            rule='"all", "written", or tonics with commas between; the mode is the tune\'s own',
            mend="C,G,D,F",
        ) from error
    return note.pitch_class
