"""Shapes to ask for, and what is said of shapes that were found.

A shape is right where it sounds the notes that were asked for, each of them and no others, and
four fingers can hold it; there may be a wish beside: what lies on top, or how high it may go.
"""

from dataclasses import dataclass
from functools import lru_cache

from harmonykit.draw.base.style import join_words
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.naming import exact_names
from harmonykit.theory.note import Note
from harmonykit.workbook.base.names import note_of
from harmonykit.workbook.practice.question import RIGHT, WRONG, Seen, Verdict
from harmonykit.workbook.practice.telling import GOOD, NOT_YET, faults, sentences
from harmonykit.workbook.practice.theme import Theme

_FEW_STRINGS = 4


@lru_cache(maxsize=512)
def shapes_of(chord: Chord, neck: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes of a chord that a hand of these limits holds; many strings may be muted.

    Examples
    --------
    >>> shapes = shapes_of(Chord.parse("G7"), Instrument.named("ukulele"), Limits(max_fret=5))
    >>> [shape.digits for shape in shapes]
    ['0-2-1-2', '4-5-3-5']
    """
    few = len(neck.strings) <= _FEW_STRINGS
    return find_voicings(
        chord,
        neck,
        limits.max_fret,
        limits=limits,
        wanted=Wanted(omit=(), mutes=False if few else "outer"),
    )


@lru_cache(maxsize=256)
def movable_shapes(chord: Chord, theme: Theme, level: int) -> tuple[Voicing, ...]:
    """Return shapes of four notes, each on one string and none of them open.

    The theme's own shapes go before all others; a barre is let pass at every level.

    Raises
    ------
    HarmonyError
        If there is none.

    Examples
    --------
    >>> shapes = movable_shapes(Chord.parse("Adim7"), Theme(), 2)
    >>> [shape.digits for shape in shapes]
    ['2-3-2-3', '5-6-5-6']
    """
    own, limits, neck = theme.own_shapes(chord), theme.limits(level), theme.neck
    found = own or find_voicings(
        chord,
        neck,
        limits.max_fret,
        limits=Limits(limits.max_fret, limits.stretch_mm),
        wanted=Wanted(
            max_span=2,
            omit=(),
            mutes=False if len(neck.strings) <= _FEW_STRINGS else "outer",
            opens=False,
            doubling=False,
        ),
    )
    if not found:
        raise HarmonyError(f"{chord.unicode} has no movable shape on the {neck.name}")
    return found


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of a shape beside its notes.

    Parameters
    ----------
    top : Note, optional
        What the highest pitch is to be.
    max_fret : int, optional
    closed : bool
        Whether open strings are not wanted.
    """

    top: Note | None = None
    max_fret: int | None = None
    closed: bool = False


def hold(
    text: str,
    chord: Chord,
    neck: Instrument,
    before: Voicing | None = None,
    *,
    one: Voicing | None = None,
    wish: Wish | None = None,
) -> Verdict:
    """Judge a shape that is to sound a chord.

    Parameters
    ----------
    text : str
        The shape's digits.
    chord : Chord
    neck : Instrument
    before : Voicing, optional
        The shape that it was made from.
    one : Voicing, optional
        A shape that serves, shown with a wrong answer.
    wish : Wish, optional
        What is asked for beside the notes.

    Examples
    --------
    >>> uke = Instrument.named("ukulele")
    >>> hold("2223", Chord.parse("D7"), uke).said
    'Right. 2-2-2-3 sounds A, D, F♯ and C.'
    >>> hold("2225", Chord.parse("D7"), uke).said
    'Not yet. 2-2-2-5 sounds A, D and F♯, which is D. C is missing.'
    """
    if "?" in text:
        raise HarmonyError("a fret is missing", rule="one fret for each string, x for a muted one")
    shape = Voicing.parse(text, neck)
    notes = [note_of(pitch % 12, chord) for pitch in shape.sounding]
    heard = join_words(list(dict.fromkeys(note.unicode for note in notes)))
    names = exact_names(shape.pcs)
    known = f", which is {names[0].unicode}" if names and shape.pcs != chord.pcs else ""
    said = f"{shape.digits} sounds {heard}{known}."
    wrong = faults(shape.pcs, chord, notes) or _unwished(shape, wish or Wish())
    if wrong:
        meant = one or shape
        seen = Seen(chord.unicode, chord.pcs, chord, shape=meant, before=shape)
        example = f"One that works: {one.digits}." if one else ""
        return Verdict(WRONG, sentences(NOT_YET, said, wrong, example), seen)
    other = f"Beside it there is {one.digits}." if one and one != shape and before else ""
    seen = Seen(chord.unicode, chord.pcs, chord, shape=shape, before=before)
    return Verdict(RIGHT, sentences(GOOD, said, other), seen)


def _unwished(shape: Voicing, wish: Wish) -> str:
    """Return what a shape with the right notes does not do, or nothing."""
    if shape.fingering is None:
        return "Its notes are right, but four fingers cannot hold it."
    if wish.top is not None and shape.top % 12 != wish.top.pitch_class:
        highest = next(n for n in shape.notes if n is not None and n.midi == shape.top)
        return f"Its highest note is {highest.unicode}; {wish.top.unicode} is asked for on top."
    if wish.max_fret is not None and shape.highest_fret > wish.max_fret:
        return f"It reaches fret {shape.highest_fret}; up to fret {wish.max_fret} is asked for."
    if wish.closed and 0 in shape.frets:
        return "It has an open string, and all are to be pressed."
    return ""
