"""Statements of a lesson: each is proved, or it stops the build with a counter-example.

A statement is a function that returns a sentence and how it was proved; it raises where it does
not hold.  The text of a lesson calls it by name; every sentence is kept in the list of facts.
"""

import json

from harmonykit.about.row import common_tones
from harmonykit.draw.base.style import join_words
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.plan.shown import bass_fault, whole
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move, resolutions
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.theory.naming import name_chords
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet

Proved = tuple[str, str]

NUMBERS = "no one two three four five six seven eight nine ten eleven twelve".split()


def number_word(number: int) -> str:
    """Return a small number as a word, a larger one in figures."""
    return NUMBERS[number] if 0 <= number < len(NUMBERS) else str(number)


def names(chord: Chord) -> str:
    """Return a chord's notes for reading, each with one accidental at most."""
    return join_words([note.plain().unicode for note in chord.notes])


def say_move(move: Move) -> str:
    """Return one voice's step in words, in notes of one accidental at most.

    Examples
    --------
    >>> say_move(Move(Note.parse("Bbb"), Note.parse("Ab")))
    'A falls to A♭'
    """
    return str(Move(move.start.plain(), move.end.plain()))


def _pcs(pcs: PcSet) -> str:
    return " ".join(map(str, pcs))


def _notes(shape: Voicing) -> str:
    return join_words([note.at(None).unicode for note in shape.notes if note])


def call_text(name: str, *args: str | int) -> str:
    """Return a call as it is typed."""
    return f"{name}({', '.join(json.dumps(each) for each in args)})"


def _synonym(chord: Chord) -> str:
    """Return another name of a chord's notes, empty where it has none in the table of qualities."""
    found = (name for name in name_chords(chord.pcs) if not name.missing)
    return next((name.symbol for name in found if name.symbol != chord.symbol), "")


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
    a, b = Chord.parse(first), Chord.parse(second)
    if a.pcs != b.pcs:
        raise LessonError(
            f"{a.symbol} and {b.symbol} do not have the same notes",
            rule=f"{a.symbol} is {names(a)}; {b.symbol} is {names(b)}",
            mend=call_text("same_notes", a.symbol, _synonym(a)) if _synonym(a) else "",
        )
    return f"{a.unicode} and {b.unicode} have the same notes.", f"both are {_pcs(a.pcs)}"


def sounds(instrument: Instrument, frets: str, chord: str) -> Proved:
    """State that a shape sounds all the tones of a chord and nothing else."""
    shape, wanted = Voicing.parse(frets, instrument), Chord.parse(chord)
    whole(shape, wanted)
    if wanted.bass != wanted.root and shape.lowest % 12 != wanted.bass.pitch_class:
        raise bass_fault(shape, wanted, wanted.spell(shape.lowest % 12))
    sentence = f"{shape.digits} on {instrument.tuning} sounds {wanted.unicode}: {names(wanted)}."
    return sentence, f"pitch classes {_pcs(shape.pcs)}"


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
    found = Chord.parse(chord)
    own = (found.pcs.forte_name, found.pcs.tn_name)
    if name not in own:
        raise LessonError(
            f"{found.symbol} is not a member of {name}",
            rule=f"{names(found)} are {' or '.join(dict.fromkeys(own))}",
            mend=call_text("set_class", found.symbol, own[0]),
        )
    return f"{found.unicode} is a member of set class {name}.", f"prime form of {_pcs(found.pcs)}"


def leads_to(chord: str, target: str) -> Proved:
    """State that a diminished seventh, as a dominant, resolves to a root, by what steps.

    Parameters
    ----------
    chord : str
        A diminished seventh's symbol.
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
    found, root = Chord.parse(chord), Note.parse(target)
    ways = resolutions(found)
    for way in ways:
        if way.target.pitch_class == root.pitch_class:
            steps = join_words([say_move(move) for move in way.moves])
            return (
                f"As a dominant {found.unicode} resolves to {way.target.unicode}: {steps}.",
                f"{way.parent.symbol} falls a fifth to {way.target.name}",
            )
    raise LessonError(
        f"as a dominant {found.symbol} does not resolve to {root.name}",
        rule="it resolves to " + join_words([way.target.name for way in ways]),
        mend=call_text("resolves_to", found.symbol, ways[0].target.name),
    )


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
    >>> print(*hk.lesson.apart("A7", "C#dim7", 1), sep="; ")
    From A7 to C♯°7 the voices move one semitone in all.; least sum over all pairings of the notes
    """
    a, b = Chord.parse(first), Chord.parse(second)
    found = distance(a, b)
    if found != semitones:
        raise LessonError(
            f"{a.symbol} and {b.symbol} are not "
            f"{semitones_said(semitones).replace('no ', '0 ')} apart",
            rule=f"they are {found:g} apart, all voices together",
            mend=call_text("semitones_apart", a.symbol, b.symbol, int(found)),
        )
    said = f"From {a.unicode} to {b.unicode} the voices move {semitones_said(semitones)} in all."
    return said, "least sum over all pairings of the notes"


def semitones_said(number: int) -> str:
    """Return a number of semitones in words."""
    return f"{number_word(number)} semitone" + ("" if number == 1 else "s")


def repeats(instrument: Instrument, frets: str, up: int) -> Proved:
    """State that a shape moved up the neck sounds the same notes again."""
    shape = Voicing.parse(frets, instrument)
    room = instrument.frets - shape.highest_fret
    if not 1 <= up <= room:
        raise LessonError(
            f"{shape.digits} cannot be moved up {up} frets",
            rule=f"1 to {room} on this neck, which has {instrument.frets} frets",
        )
    moved = Voicing(instrument, tuple(None if f is None else f + up for f in shape.frets))
    if moved.pcs != shape.pcs:
        raise LessonError(
            f"{shape.digits} moved up {up} frets sounds other notes",
            rule=f"{_notes(shape)} become {_notes(moved)}",
            mend=_nearest_turn(shape, room),
        )
    count = number_word(len(shape.pcs))
    unit = "fret" if up == 1 else "frets"
    sentence = f"{shape.digits} moved up {number_word(up)} {unit} sounds the same {count} notes."
    return sentence, f"{moved.digits} sounds {_pcs(moved.pcs)} too"


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
    a, b = Chord.parse(first), Chord.parse(second)
    said = {Note.parse(note).pitch_class for note in notes}
    common = [note.plain() for note in common_tones(a, b)]
    found = join_words([note.unicode for note in common]) or "nothing"
    if {note.pitch_class for note in common} != said:
        raise LessonError(
            f"{a.symbol} and {b.symbol} do not share just that",
            rule=f"they share {found}",
            mend=call_text("common_notes", a.symbol, b.symbol, *(note.name for note in common)),
        )
    return f"{a.unicode} and {b.unicode} share {found}.", f"{_pcs(a.pcs)} and {_pcs(b.pcs)}"
