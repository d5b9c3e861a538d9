"""Statements of a lesson: each is proved, or it stops the build with a counter-example.

A statement is a function that returns a sentence and how it was proved; it raises where it does
not hold.  The text of a lesson calls it by name; every sentence is kept in the list of facts.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing
from harmonykit.lesson.laws import COUNTS, LAWS, ROOTS
from harmonykit.lesson.model import LessonError
from harmonykit.lesson.signature import Given, check_arguments
from harmonykit.show.style import join_words
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move, resolutions
from harmonykit.theory.note import Note
from harmonykit.theory.pcset import PcSet
from harmonykit.theory.voiceleading import distance

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


def same_notes(first: str, second: str) -> Proved:
    """State that two chords have the same notes."""
    a, b = Chord.parse(first), Chord.parse(second)
    if a.pcs != b.pcs:
        raise LessonError(
            f"{a.symbol} and {b.symbol} do not have the same notes",
            rule=f"{a.symbol} is {names(a)}; {b.symbol} is {names(b)}",
        )
    return f"{a.unicode} and {b.unicode} have the same notes.", f"both are {_pcs(a.pcs)}"


def sounds(instrument: Instrument, frets: str, chord: str) -> Proved:
    """State that a shape sounds all the tones of a chord and nothing else."""
    shape, wanted = Voicing.parse(frets, instrument), Chord.parse(chord)
    if shape.pcs != wanted.pcs:
        heard = join_words([note.unicode for note in shape.notes if note])
        raise LessonError(
            f"{shape.digits} does not sound {wanted.symbol}",
            rule=f"it sounds {heard}; {wanted.symbol} is {names(wanted)}",
        )
    sentence = f"{shape.digits} on {instrument.tuning} sounds {wanted.unicode}: {names(wanted)}."
    return sentence, f"pitch classes {_pcs(shape.pcs)}"


def set_class(chord: str, name: str) -> Proved:
    """State the set class of a chord by its Forte number."""
    found = Chord.parse(chord)
    if name not in (found.pcs.forte_name, found.pcs.tn_name):
        raise LessonError(
            f"{found.symbol} is no member of {name}", rule=f"it is {found.pcs.tn_name}"
        )
    return f"{found.unicode} is a member of set class {name}.", f"prime form of {_pcs(found.pcs)}"


def leads_to(chord: str, target: str) -> Proved:
    """State that a diminished seventh, as a dominant, leads to a root, by what steps."""
    found, root = Chord.parse(chord), Note.parse(target)
    ways = resolutions(found)
    for way in ways:
        if way.target.pitch_class == root.pitch_class:
            steps = join_words([say_move(move) for move in way.moves])
            return (
                f"As a dominant {found.unicode} leads to {way.target.unicode}: {steps}.",
                f"{way.parent.symbol} falls a fifth to {way.target.name}",
            )
    raise LessonError(
        f"as a dominant {found.symbol} does not lead to {root.name}",
        rule="it leads to " + join_words([way.target.name for way in ways]),
    )


def apart(first: str, second: str, semitones: int) -> Proved:
    """State how many semitones two chords are apart, all voices together."""
    a, b = Chord.parse(first), Chord.parse(second)
    found = distance(a, b)
    if found != semitones:
        raise LessonError(
            f"{a.symbol} and {b.symbol} are not {semitones} apart", rule=f"they are {found:g} apart"
        )
    unit = "semitone" if semitones == 1 else "semitones"
    return (
        f"From {a.unicode} to {b.unicode} the voices move {number_word(semitones)} {unit} in all.",
        "least sum over all ways to pair the notes",
    )


def repeats(instrument: Instrument, frets: str, up: int) -> Proved:
    """State that a shape moved up the neck sounds the same notes again."""
    shape = Voicing.parse(frets, instrument)
    moved = Voicing(instrument, tuple(None if f is None else f + up for f in shape.frets))
    if moved.pcs != shape.pcs:
        raise LessonError(
            f"{shape.digits} moved up {up} frets sounds other notes",
            rule=f"{_pcs(shape.pcs)} becomes {_pcs(moved.pcs)}",
        )
    count = number_word(len(shape.pcs))
    sentence = f"{shape.digits} moved up {number_word(up)} frets sounds the same {count} notes."
    return sentence, f"{moved.digits} sounds {_pcs(moved.pcs)} too"


def share(first: str, second: str, *notes: str) -> Proved:
    """State what notes two chords have in common: these and no others."""
    a, b = Chord.parse(first), Chord.parse(second)
    said = {Note.parse(note).pitch_class for note in notes}
    common = [note.plain() for note in a.notes if note.pitch_class in b.pcs]
    found = join_words([note.unicode for note in common]) or "nothing"
    if {note.pitch_class for note in common} != said:
        raise LessonError(
            f"{a.symbol} and {b.symbol} do not share just that", rule=f"they share {found}"
        )
    return f"{a.unicode} and {b.unicode} share {found}.", f"{_pcs(a.pcs)} and {_pcs(b.pcs)}"


def exactly(kind: str, number: int) -> Proved:
    """State how many there are: of a thing in ``laws.COUNTS``, or of a quality such as ``"aug"``.

    Of a quality the different sets of notes are counted, from all twelve roots.
    """
    count, words = COUNTS[kind]() if kind in COUNTS else _count_quality(kind)
    if count != number:
        raise LessonError(f"there are not {number} {words}", rule=f"there are {count}")
    verb = "is" if number == 1 else "are"
    return f"There {verb} exactly {number_word(number)} {words}.", "counted from all twelve roots"


def _count_quality(quality: str) -> tuple[int, str]:
    try:
        chords = [Chord.parse(root + quality) for root in ROOTS]
    except HarmonyError:
        known = ", ".join(map(repr, COUNTS))
        raise LessonError(
            f"{quality!r} cannot be counted here", mend=f'a quality such as "aug", or {known}'
        ) from None
    return len({chord.pcs for chord in chords}), f"different chords like {chords[0].unicode}"


# Statements about chords alone, which can be made from any root.
ABOUT_CHORDS: dict[str, Callable[..., Proved]] = {
    "same_notes": same_notes,
    "set_class": set_class,
    "leads_to": leads_to,
    "apart": apart,
    "share": share,
}
# What stands after the chords in these is no note or chord, and stays as it is.
_SAYS_HOW_MUCH = {"set_class": 1, "apart": 2}


def always(law: str, *about: str | int) -> Proved:
    """State a law of ``laws.LAWS``, or a statement about chords, for all twelve transpositions."""
    if law in LAWS and not about:
        sentence, counter = LAWS[law]()
        if counter:
            raise LessonError(f"the law of {law} does not hold", rule=counter)
        return sentence, "checked for all twelve transpositions"
    if law not in ABOUT_CHORDS or not about:
        known = ", ".join(map(repr, (*LAWS, *ABOUT_CHORDS)))
        raise LessonError(f"{law!r} is no law that is known here", mend=known)
    return _from_every_root(law, about)


def _from_every_root(statement: str, about: tuple[Any, ...]) -> Proved:
    prove = ABOUT_CHORDS[statement]
    check_arguments(statement, prove, [Given(each) for each in about])
    sentence, _ = prove(*about)
    moving = _SAYS_HOW_MUCH.get(statement, len(about))
    for up in range(12):
        prove(*(_moved(each, up) for each in about[:moving]), *about[moving:])
    said = f"{sentence[:-1]}, and so it is from every root."
    return said, "checked for all twelve transpositions"


def _moved(name: str, up: int) -> str:
    """Return the symbol of a chord moved up by semitones; a note's name is read as its triad's."""
    chord = Chord.parse(name)
    root, bass = (ROOTS[(note.pitch_class + up) % 12] for note in (chord.root, chord.bass))
    return Chord.of(root, chord.quality).over(Note.parse(bass)).symbol
