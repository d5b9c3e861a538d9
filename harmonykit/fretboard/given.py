"""What a user may hand in for strings, made a value: an instrument, tones.

As ``theory.given`` does for chords and notes.
"""

from collections.abc import Iterable

from harmonykit.errors import HarmonyError, need_several, wrong_kind
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.degree import Degree
from harmonykit.theory.note import Note

InstrumentLike = Instrument | str
Tones = Iterable[Note | str | int | Degree]


def as_instrument(given: InstrumentLike) -> Instrument:
    """Return an instrument that was handed in as such, by its name, or as its open strings.

    Raises
    ------
    HarmonyError
        If there is no instrument of that name, or the strings cannot be read.

    Examples
    --------
    >>> as_instrument("guitar").tuning, as_instrument("G3 D4 A4 E5").tuning
    ('E A D G B E', 'G D A E')
    """
    if isinstance(given, Instrument):
        return given
    if not isinstance(given, str):
        raise wrong_kind(
            given, "an instrument, its name, or its open strings", '"ukulele" or "D4 F#4 A4 D5"'
        )
    try:
        return Instrument.named(given)
    except HarmonyError:
        if any(character.isdigit() for character in given):
            return Instrument.parse(given)
        raise


def as_tones(given: Tones | str, name: str) -> tuple[Note | str | int | Degree, ...]:
    """Return the tones that were handed in as a list, or as one text in which blanks part them.

    Examples
    --------
    >>> as_tones("1 b9", "omit"), as_tones([7], "omit")
    (('1', 'b9'), (7,))
    """
    if isinstance(given, str):
        return tuple(given.replace(",", " ").split())
    wanted = f"{name} is a list of degrees, notes, or semitones"
    tones = tuple(need_several(given, wanted, f'{name}=["5", "1"]'))
    for tone in tones:
        if isinstance(tone, bool) or not isinstance(tone, Note | str | int | Degree):
            raise wrong_kind(tone, "a degree, a note, or semitones above the root", '"5", "G", 7')
    return tones
