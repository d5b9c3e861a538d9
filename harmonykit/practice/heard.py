"""What an answer sounds like and how it is printed, so that yours stands beside the right one."""

from __future__ import annotations

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice.question import Pitches, Question
from harmonykit.practice.wording import read_chords, read_letter, read_move, read_notes
from harmonykit.sound.chords import close_pitches

_LOWEST, _LETTERS, _OF_A_WAY = 55, "ABC", 3


def sounds_of(question: Question, answer: str) -> tuple[Pitches, ...]:
    """Return what an answer sounds like: chords, notes, a shape, or what came before and after.

    Parameters
    ----------
    question : Question
    answer : str
        What the answer's line holds.

    Returns
    -------
    tuple of tuple of int
        As MIDI numbers; nothing where the answer cannot be read, or is a number.

    Examples
    --------
    >>> question = hk.practice.ask(hk.practice.Spec("quay", 1, "moved", "ear"))
    >>> [len(chord) for chord in hk.practice.sounds_of(question, question.answer)]
    [4, 4]
    >>> hk.practice.sounds_of(question, question.answer) == question.sounds
    True
    """
    try:
        return _sounds(question, answer)
    except HarmonyError:
        return ()


def _sounds(question: Question, answer: str) -> tuple[Pitches, ...]:
    form = question.form
    if form == "chords":
        return tuple(_close(tuple(n.pitch_class for n in c.tones)) for c in read_chords(answer))
    if form == "notes":
        return tuple((_LOWEST + (n.pitch_class - _LOWEST) % 12,) for n in read_notes(answer))
    if form == "move":
        return _moved(question, answer)
    if form == "shape":
        return (Voicing.parse(answer, question.instrument).sounding,)
    if form == "letter":
        place = _LETTERS.index(read_letter(answer, _LETTERS)) * _OF_A_WAY
        return question.sounds[place : place + _OF_A_WAY - 1]
    return ()


def _close(pcs: tuple[int, ...]) -> Pitches:
    return close_pitches(list(pcs), _LOWEST)


def _moved(question: Question, answer: str) -> tuple[Pitches, ...]:
    """Return the first chord that was heard, and what would follow if the answer were right."""
    start, end = read_move(answer)
    before = question.sounds[0]
    step = (end.pitch_class - start.pitch_class + 6) % 12 - 6
    after = tuple(pitch + step * (pitch % 12 == start.pitch_class) for pitch in before)
    return before, after


def printed(question: Question, answer: str) -> str:
    """Return an answer as printed; as it was written where it cannot be read.

    Examples
    --------
    >>> from harmonykit.practice.kinds import ask
    >>> from harmonykit.practice.question import Spec
    >>> printed(ask(Spec("quay", 1, "moved", "ear")), "Ab to G"), printed(
    ...     ask(Spec("quay", 1, "parents")), "c#7"
    ... )
    ('A♭ to G', 'C♯7')
    """
    try:
        if question.form == "chords":
            return ", ".join(chord.unicode for chord in read_chords(answer))
        if question.form == "notes":
            return " ".join(note.unicode for note in read_notes(answer))
        if question.form == "move":
            return " to ".join(note.unicode for note in read_move(answer))
    except HarmonyError:
        pass
    return answer
