"""Statements as they are called: each is proved, or it stops the build with a counter-example.

A statement is a function that returns a sentence and how it was proved; it raises where it does
not hold.  The text of a lesson calls it by name; every sentence is kept in the list of facts.
What is stated about chords alone is judged and worded in ``kinds``.
"""

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.frettings import shifted
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson.plan import model, shown
from harmonykit.lesson.statements import kinds, sounding, turning
from harmonykit.lesson.statements.kinds import Stated, Untrue, call_text
from harmonykit.words.numbers import in_words, join_words, number

Proved = tuple[str, str]


def proved(stated: Stated) -> Proved:
    """Return the sentence of a statement and its proof.

    Raises
    ------
    Untrue
        If it does not hold: with a counter-example.

    Examples
    --------
    >>> proved(kinds.how_many_notes("C9", 5))
    ('C9 has five notes.', 'C, E, G, B♭ and D')
    """
    if not stated.holds:
        raise Untrue(stated.denied, rule=stated.reason, mend=stated.mend)
    return stated.sentence, stated.reason


def _notes(shape: Voicing) -> str:
    return join_words([note.at(None).unicode for note in shape.notes if note])


def same_notes(first: str, second: str) -> Proved:
    """State that two chords have the same notes.

    Parameters
    ----------
    first : str
        A chord's symbol.
    second : str
        Another's.

    Returns
    -------
    tuple of (str, str)
        The sentence, and how it was proved.

    Raises
    ------
    LessonError
        If it is not true: with a counter-example.

    Examples
    --------
    >>> hk.lesson.same_notes("C6", "Am7")[0]
    'C6 and Am7 have the same notes.'
    """
    return proved(kinds.same_notes(first, second))


def sounds(instrument: Instrument, frets: str, chord: str) -> Proved:
    """State that a shape sounds all the tones of a chord and nothing else."""
    shape, wanted = Voicing.parse(frets, instrument), sounding.heard(chord)
    if wanted.chord is None:
        raise model.LessonError(f"{wanted.name} is not a chord", mend='sounds("2213", "F6")')
    bass = wanted.chord.bass
    try:
        shown.whole(shape, wanted.chord)
        if bass != wanted.chord.root and shape.lowest % 12 != bass.pitch_class:
            raise shown.bass_fault(shape, wanted.chord, wanted.chord.spell(shape.lowest % 12))
    except HarmonyError as error:
        raise Untrue(error.what, rule=error.rule, mend=error.mend) from None
    sentence = f"{shape.digits} on {instrument.tuning} sounds {wanted.name}: {wanted.spelled}."
    return sentence, f"pitch classes {' '.join(map(str, shape.pcs))}"


def set_class(chord: str, name: str) -> Proved:
    """State the set class of a chord by its Forte number.

    Parameters
    ----------
    chord : str
        A chord's symbol.
    name : str
        A Forte number, such as ``"4-28"``.

    Returns
    -------
    tuple of (str, str)
        The sentence, and how it was proved.

    Raises
    ------
    LessonError
        If it is not true: with a counter-example.

    Examples
    --------
    >>> hk.lesson.set_class("Edim7", "4-28")[0]
    'E°7 is a member of set class 4-28.'
    """
    return proved(kinds.set_class(chord, name))


def leads_to(chord: str, target: str) -> Proved:
    """State that a chord, as a dominant, resolves to a root, by what steps.

    Parameters
    ----------
    chord : str
        The symbol of a dominant, a diminished seventh, or another chord that stands for one.
    target : str
        The root that it resolves to.

    Returns
    -------
    tuple of (str, str)
        The sentence, and how it was proved.

    Raises
    ------
    LessonError
        If it is not true: with a counter-example.

    Examples
    --------
    >>> print(hk.lesson.leads_to("C#dim7", "D")[0])
    As a dominant C♯°7 resolves to D: C♯ rises to D, E falls to D, G falls to F♯ and B♭ falls to A.
    """
    return proved(turning.resolves_to(chord, target))


def apart(first: str, second: str, semitones: int) -> Proved:
    """State how many semitones two chords are apart, all voices together.

    Parameters
    ----------
    first : str
        A chord's symbol.
    second : str
        Another's.
    semitones : int
        What is stated.

    Returns
    -------
    tuple of (str, str)
        The sentence, and how it was proved.

    Raises
    ------
    LessonError
        If it is not true: with a counter-example.

    Examples
    --------
    >>> for said in hk.lesson.apart("A7", "C#dim7", 1):
    ...     print(said)
    From A7 to C♯°7 the voices move one half step in all.
    the smallest total over all pairings of the notes
    """
    return proved(kinds.semitones_apart(first, second, semitones))


def repeats(instrument: Instrument, frets: str, up: int) -> Proved:
    """State that a shape moved up the neck sounds the same notes again."""
    shape = Voicing.parse(frets, instrument)
    room = instrument.frets - shape.highest_fret
    if not 1 <= up <= room:
        raise model.LessonError(
            f"{shape.digits} cannot be moved up {up} frets",
            rule=f"1 to {room} on this neck, which has {instrument.frets} frets",
        )
    moved = Voicing(instrument, shifted(shape.frets, up))
    if moved.pcs != shape.pcs:
        raise Untrue(
            f"{shape.digits} moved up {up} frets has different notes",
            rule=f"{_notes(shape)} become {_notes(moved)}",
            mend=_nearest_turn(shape, room),
        )
    count = number(len(shape.pcs))
    sentence = f"{shape.digits} moved up {in_words(up, 'fret')} sounds the same {count} notes."
    return sentence, f"{moved.digits} sounds {' '.join(map(str, moved.pcs))} too"


def _nearest_turn(shape: Voicing, room: int) -> str:
    """Say how far up a shape sounds its notes again; empty where it does so nowhere."""
    ways = (up for up in range(1, room + 1) if shape.pcs.transpose(up) == shape.pcs)
    up = next(ways, None)
    return "" if up is None else call_text("repeats", up, shape.digits)


def share(first: str, second: str, *notes: str) -> Proved:
    """State what notes two chords have in common: these and no others.

    Parameters
    ----------
    first : str
        A chord's symbol.
    second : str
        Another's.
    *notes : str
        Names of the notes that both have.

    Returns
    -------
    tuple of (str, str)
        The sentence, and how it was proved.

    Raises
    ------
    LessonError
        If it is not true: with a counter-example.

    Examples
    --------
    >>> hk.lesson.share("Dm7", "F6", "D", "F", "A", "C")[0]
    'Dm7 and F6 share D, F, A and C.'
    """
    return proved(kinds.common_notes(first, second, *notes))
