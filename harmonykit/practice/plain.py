"""Questions as plain data, for a page without Python; and what an answer sounds like, printed.

All that is right is counted out beforehand by the judge of the question, so that a page never
judges music itself: it compares what was chosen, pressed or typed with what is listed.
"""

from __future__ import annotations

from typing import Any

from harmonykit.about.names import note_of
from harmonykit.errors import attempt
from harmonykit.fretboard.shapes import finding, voicing
from harmonykit.practice.choices import Offer, offers_of, printed
from harmonykit.practice.question import RIGHT, Pitches, Question, Seen, read_item
from harmonykit.practice.wording import GOOD, read_chords, read_letter, read_move, read_notes
from harmonykit.sound.chords import close_notes
from harmonykit.theory.chord import Chord

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
    return attempt(_sounds, question, answer) or ()


def _sounds(question: Question, answer: str) -> tuple[Pitches, ...]:
    form = question.form
    if form == "chords":
        return tuple(close_notes(c.tones, _LOWEST) for c in read_chords(answer))
    if form == "notes":
        return tuple((_LOWEST + (n.pitch_class - _LOWEST) % 12,) for n in read_notes(answer))
    if form == "move":
        return _moved(question, answer)
    if form == "shape":
        return (voicing.Voicing.parse(answer, question.instrument).sounding,)
    if form == "letter":
        place = _LETTERS.index(read_letter(answer, _LETTERS)) * _OF_A_WAY
        return question.sounds[place : place + _OF_A_WAY - 1]
    return ()


def _moved(question: Question, answer: str) -> tuple[Pitches, ...]:
    """Return the first chord that was heard, and what would follow if the answer were right."""
    start, end = read_move(answer)
    before = question.sounds[0]
    step = (end.pitch_class - start.pitch_class + 6) % 12 - 6
    after = tuple(pitch + step * (pitch % 12 == start.pitch_class) for pitch in before)
    return before, after


_ROOTS = "C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B Cb".split()
_FEW_STRINGS, _TOP_FRET = 4, 12


def plain_question(question: Question) -> dict[str, Any]:
    """Return a question as values that JSON has, with all that is right and what is said of it.

    Parameters
    ----------
    question : Question

    Returns
    -------
    dict
        ``id``, ``item``, ``kind``, ``about``, ``medium``, ``level``, ``prompt``, ``form``;
        ``answer``, a right one as printed; ``right``, what counts as right; ``choices``, the
        answers that a page offers, each with its text, whether it is right, what is said of it and
        what it sounds like; ``reason``; ``hints``; ``sounds``, as MIDI numbers; ``seen`` and
        ``shown``, the picture before and after an answer.

        ``right`` is, by form: for chords, a list of parts, each of which any of its symbols
        names; for notes, the pitch classes, and in ``names`` their names where these count; for a
        move, where from and where to; for a shape, each line of frets that serves; for a number
        and a letter, itself.

    Examples
    --------
    >>> asked = hk.practice.ask(hk.practice.Spec("quay", 2, "targets", "words"))
    >>> plain = hk.practice.plain_question(asked)
    >>> plain["item"], plain["form"], plain["answer"], plain["right"]
    ('targets: Ddim7: words', 'notes', 'G♭', [6])
    """
    verdict = question.judge(question.answer)
    reason = verdict.said.removeprefix(f"{GOOD} ")
    spec = question.spec
    kind, about, medium = read_item(question.item)
    return {
        "id": f"{spec.seed}/{spec.number}/{spec.kind}/{spec.medium}/{spec.level}",
        "item": question.item,
        "kind": kind,
        "about": about,
        "medium": medium,
        "level": spec.level,
        "prompt": question.text,
        "form": question.form,
        "answer": printed(question, question.answer),
        "right": _right(question),
        "names": [n.name for n in read_notes(question.answer)] if _named(question) else [],
        "choices": [_choice(question, each) for each in offers_of(question) if each.at < 0],
        "reason": reason,
        "hints": list(question.hints),
        "sounds": [list(pitches) for pitches in question.sounds],
        "seen": _seen(question.seen),
        "shown": _seen(verdict.seen),
    }


def _named(question: Question) -> bool:
    """Whether the names of notes count, and not only their sound."""
    return question.spec.kind == "spelling"


def _is_right(question: Question, answer: str) -> bool:
    verdict = attempt(question.judge, answer)
    return verdict is not None and verdict.score == RIGHT


def _right(question: Question) -> Any:
    form, answer = question.form, question.answer
    if form == "chords":
        return _right_chords(question)
    if form == "notes":
        return sorted({note.pitch_class for note in read_notes(answer)})
    if form == "move":
        return [note.pitch_class for note in read_move(answer)]
    if form == "shape":
        return _right_shapes(question)
    return int(answer) if form == "number" else answer


def _right_chords(question: Question) -> list[list[str]]:
    """Return, for each part of the answer, every symbol that may stand in its place."""
    parts = [chord.symbol for chord in read_chords(question.answer)]
    found = []
    for place, part in enumerate(parts):
        same = [name for name in _symbols_like(part) if name != part]
        tried = [part, *same]
        found.append(
            [
                name
                for name in tried
                if _is_right(question, ", ".join([*parts[:place], name, *parts[place + 1 :]]))
            ]
        )
    return found


def _symbols_like(symbol: str) -> list[str]:
    """Return the symbols of the same suffix on every root, and of the sixths and sevenths."""
    chord = Chord.parse(symbol)
    suffixes = dict.fromkeys((chord.quality, "dim7", "6", "m7", "m6", "m7b5", "+", "7b5"))
    names = [f"{root}{suffix}" for suffix in suffixes for root in _ROOTS]
    return [name for name in names if Chord.parse(name).pcs == chord.pcs]


def _right_shapes(question: Question) -> list[str]:
    """Return the shapes that are right, the question's own first."""
    chord = question.judge(question.answer).seen.chord
    if chord is None:
        return [question.answer]
    few = len(question.instrument.strings) <= _FEW_STRINGS
    found = finding.find_voicings(
        chord,
        question.instrument,
        _TOP_FRET,
        wanted=finding.Wanted(omit=(), mutes=False if few else "outer"),
    )
    others = (each.digits for each in found if _is_right(question, each.digits))
    return list(dict.fromkeys((question.answer, *others)))


def _choice(question: Question, offer: Offer) -> dict[str, Any]:
    return {
        "text": offer.text,
        "printed": printed(question, offer.text),
        "right": offer.is_right,
        "said": offer.verdict.said,
        "sounds": [list(pitches) for pitches in sounds_of(question, offer.text)],
    }


def _seen(seen: Seen) -> dict[str, Any]:
    """Return what is drawn: names for pitch classes, shapes as lines of frets."""
    named = {note.pitch_class: note.unicode for note in seen.names}
    names = {pc: named.get(pc) or note_of(pc, seen.chord).unicode for pc in seen.notes}
    was = {pc: note_of(pc, seen.old).unicode for pc in seen.was}
    return {
        "heading": seen.heading,
        "notes": {} if seen.nameless else {str(pc): name for pc, name in names.items()},
        "was": {str(pc): name for pc, name in was.items()},
        "moves": [list(move) for move in seen.moves],
        "shape": seen.shape.digits if seen.shape is not None else "",
        "before": seen.before.digits if seen.before is not None else "",
        "ways": [[shape.digits for shape in way] for way in seen.ways],
        "best": seen.best,
    }
