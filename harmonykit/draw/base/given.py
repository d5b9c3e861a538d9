"""What a user may hand in for a figure, made values: chords, shapes with their chords, notes.

As ``theory.given`` and ``fretboard.given`` do on their floors.
"""

from collections.abc import Iterable
from typing import TypeVar

from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing
from harmonykit.fretboard.strings.instrument import InstrumentLike
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, NotesLike, as_chord, as_pcset, chord_in

Shape = tuple[Voicing, Chord | None]
Look = TypeVar("Look")
ShapeLike = Voicing | str | tuple[Voicing | str, ChordLike | None]


def as_named(given: ChordLike | None) -> Chord | None:
    """Return the chord that names a shape, or nothing where none was handed in."""
    return None if given is None else as_chord(given)


def as_shapes(
    given: Iterable[ShapeLike], instrument: InstrumentLike = "ukulele"
) -> tuple[Shape, ...]:
    """Return shapes, each with the chord that names it or alone; typed frets are an instrument's.

    Examples
    --------
    >>> [(shape.digits, chord) for shape, chord in as_shapes(["0003", ("2010", "F")])]
    [('0-0-0-3', None), ('2-0-1-0', Chord.parse('F'))]
    """
    if isinstance(given, str) or not isinstance(given, Iterable):
        raise wrong_kind(given, "a list of shapes", '[("0003", "C"), ("2010", "F")]')
    pairs = [each if isinstance(each, tuple) else (each, None) for each in given]
    return tuple((as_voicing(shape, instrument), as_named(chord)) for shape, chord in pairs)


def as_seen(given: NotesLike) -> tuple[Chord | None, tuple[int, ...]]:
    """Return the chord among notes that were handed in, if they are one, and pitch classes, sorted.

    Examples
    --------
    >>> as_seen("C7"), as_seen("C E G"), as_seen((7, 0))
    ((Chord.parse('C7'), (0, 4, 7, 10)), (None, (0, 4, 7)), (None, (0, 7)))
    """
    chord = chord_in(given)
    if isinstance(given, str):
        try:
            chord = Chord.parse(given)
        except HarmonyError:
            chord = None
    if chord is not None:
        return chord, tuple(chord.pcs)
    return None, tuple(as_pcset(given))


def as_look(given: Look | None, kind: type[Look]) -> Look:
    """Return how something is to look, as it was handed in, or as usual.

    Raises
    ------
    WrongKind
        If it is of another kind.

    Examples
    --------
    >>> from harmonykit.draw.shapes.box_look import BoxLook
    >>> as_look(None, BoxLook)
    BoxLook()
    """
    if given is None:
        return kind()
    if isinstance(given, kind):
        return given
    raise wrong_kind(given, f"a {kind.__name__}", f"hk.draw.{kind.__name__}()")
