"""Statements of a lesson: each is proved, or it stops the build with a counter-example.

A statement is a function that returns a sentence and how it was proved; it raises where it does
not hold.  The text of a lesson calls it by name; every sentence is kept in the list of facts.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from harmonykit.about.guides import common_tones
from harmonykit.draw.base.style import join_words
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.plan.shown import bass_fault, whole
from harmonykit.lesson.statements.general import SAID, kind_word
from harmonykit.lesson.statements.laws import COUNTS, LAWS, ROOTS
from harmonykit.lesson.statements.signature import Given, check_arguments
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move, resolutions
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.theory.naming import name_chords
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.words.former import FORMER

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


def _call(name: str, *args: str | int) -> str:
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
            mend=_call("same_notes", a.symbol, _synonym(a)) if _synonym(a) else "",
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
            mend=_call("set_class", found.symbol, own[0]),
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
        mend=_call("resolves_to", found.symbol, ways[0].target.name),
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
            f"{a.symbol} and {b.symbol} are not {_semitones(semitones).replace('no ', '0 ')} apart",
            rule=f"they are {found:g} apart, all voices together",
            mend=_call("semitones_apart", a.symbol, b.symbol, int(found)),
        )
    said = f"From {a.unicode} to {b.unicode} the voices move {_semitones(semitones)} in all."
    return said, "least sum over all pairings of the notes"


def _semitones(number: int) -> str:
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
    return "" if up is None else _call("repeats", up, shape.digits)


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
            mend=_call("common_notes", a.symbol, b.symbol, *(note.name for note in common)),
        )
    return f"{a.unicode} and {b.unicode} share {found}.", f"{_pcs(a.pcs)} and {_pcs(b.pcs)}"


def exactly(kind: str, number: int) -> Proved:
    """State how many there are: ``"diminished sevenths"``, or a quality such as ``"aug"``.

    Of a quality the different sets of notes are counted, from all twelve roots.

    Parameters
    ----------
    kind : str
        ``"diminished sevenths"``, a quality such as ``"aug"``, or another thing that can be
        counted.
    number : int
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
    >>> hk.lesson.exactly("aug", 4)[0]
    'There are exactly four different augmented triads.'
    """
    count, words = COUNTS[kind]() if kind in COUNTS else _count_quality(kind)
    if count != number:
        raise LessonError(
            f"there are not {number} {words}",
            rule=f"there are {count}",
            mend=_call("exactly", kind, count),
        )
    verb = "is" if number == 1 else "are"
    return f"There {verb} exactly {number_word(number)} {words}.", "counted from all twelve roots"


def from_every_root(quality: str) -> list[Chord]:
    """Return the chords of a quality on all twelve roots.

    Raises
    ------
    LessonError
        If it is not a quality: of ``"#5"`` the sign belongs to the root, and of ``"/E"`` the
        bass stays where it is.

    Examples
    --------
    >>> [chord.symbol for chord in from_every_root("m6")][:3]
    ['Cm6', 'Dbm6', 'Dm6']
    """
    wrong = LessonError(
        f"{quality!r} is not a quality of chords",
        rule="a quality is what stands behind the root of a symbol",
        mend='a quality such as "7" or "m6"',
    )
    try:
        chords = [Chord.parse(root + quality) for root in ROOTS]
    except HarmonyError:
        raise wrong from None
    for root, chord in zip(ROOTS, chords, strict=True):
        if chord.root != Note.parse(root) or chord.quality != chords[0].quality:
            raise wrong
        if chord.bass != chord.root:
            raise wrong
    return chords


def _count_quality(quality: str) -> tuple[int, str]:
    try:
        chords = from_every_root(quality)
    except LessonError as error:
        known = ", ".join(map(repr, COUNTS))
        raise LessonError(
            f"{quality!r} cannot be counted here",
            rule=error.rule,
            mend=f'a quality such as "aug" or "7#5", or one of {known}',
        ) from None
    count = len({chord.pcs for chord in chords})
    return count, f"different {kind_word(chords[0])}{'' if count == 1 else 's'}"


# Statements about chords alone, which can be made from any root.
ABOUT_CHORDS: dict[str, Callable[..., Proved]] = {
    "same_notes": same_notes,
    "set_class": set_class,
    "resolves_to": leads_to,
    "semitones_apart": apart,
    "common_notes": share,
}
# Which of their arguments are chords; those behind them are notes, but for a name or a number.
_CHORDS = {
    "same_notes": 2, "set_class": 1, "resolves_to": 1, "semitones_apart": 2, "common_notes": 2,
}  # fmt: skip
_NOTES = ("resolves_to", "common_notes")


def always(law: str, *about: str | int) -> Proved:
    """State a law of ``laws.LAWS``, or a statement about chords, for all twelve transpositions."""
    law = FORMER["call"].get(law, law)
    if law in LAWS and not about:
        sentence, counter = LAWS[law]()
        if counter:
            raise LessonError(f"the law {law!r} does not hold", rule=counter)
        return sentence, "checked for all twelve transpositions"
    if law in LAWS:
        raise LessonError(
            f"the law {law!r} takes nothing more",
            rule="it is about every chord of its kind",
            mend=_call("always", law),
        )
    if law in ABOUT_CHORDS and not about:
        raise LessonError(
            f"always({law!r}) names no chord", rule="what the statement takes follows its name"
        )
    if law not in ABOUT_CHORDS:
        known = ", ".join(map(repr, (*LAWS, *ABOUT_CHORDS)))
        raise LessonError(f"{law!r} is not a law or a statement about chords", mend=known)
    return _from_every_root(law, about)


def _from_every_root(statement: str, about: tuple[Any, ...]) -> Proved:
    prove = ABOUT_CHORDS[statement]
    check_arguments(statement, prove, [Given(each) for each in about])
    count = _CHORDS[statement]
    chords = [Chord.parse(name) for name in about[:count]]
    notes = [Note.parse(name) for name in about[count:]] if statement in _NOTES else []
    rest = about[count + len(notes) :]
    try:
        prove(*about)
    except LessonError as error:
        # What is false as it is typed is said of the chords and notes that were typed.
        mend = error.mend.replace(f"{statement}(", f'always("{statement}", ', 1)
        raise LessonError(error.what, place=error.place, rule=error.rule, mend=mend) from None
    for up in range(1, 12):
        prove(*(_moved(c, up) for c in chords), *(_root(n, up) for n in notes), *rest)
    return _said_generally(statement, chords, notes, rest), "checked for all twelve transpositions"


def _said_generally(
    statement: str, chords: list[Chord], notes: list[Note], rest: tuple[Any, ...]
) -> str:
    """Say a statement of every root, without the name of a note."""
    if statement == "semitones_apart":
        return SAID[statement](*chords, _semitones(rest[0]))
    if statement == "common_notes":
        return SAID[statement](*chords)
    return SAID[statement](*chords, *notes, *rest)


def _moved(chord: Chord, up: int) -> str:
    """Return the symbol of a chord moved up by semitones."""
    moved = Chord.build(Note.parse(_root(chord.root, up)), chord.degrees)
    return moved.over(Note.parse(_root(chord.bass, up))).symbol


def _root(note: Note, up: int) -> str:
    return ROOTS[(note.pitch_class + up) % 12]
