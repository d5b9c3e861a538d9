"""Statements of a lesson: each is proved, or it stops the build with a counter-example.

A statement is a function that returns a sentence and how it was proved; it raises where it does
not hold.  The text of a lesson calls it by name; every sentence is kept in the list of facts.
"""

from __future__ import annotations

from collections.abc import Callable

from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing
from harmonykit.lesson.model import LessonError
from harmonykit.show.style import join_words
from harmonykit.theory.alternation import prove_alternation
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
    return join_words([note.plain().unicode for note in chord.tones])


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


def _diminished(root: int) -> PcSet:
    return PcSet.of(*((root + n) % 12 for n in (0, 3, 6, 9)))


def _count_diminished() -> tuple[int, str]:
    return len({_diminished(root) for root in range(12)}), "different diminished sevenths"


def _count_targets() -> tuple[int, str]:
    targets = {len({w.target for w in resolutions(Chord.of(r, "dim7"))}) for r in ("C", "C#", "D")}
    (count,) = targets
    return count, "places to which a diminished seventh leads as a dominant"


def _count_kinds() -> tuple[int, str]:
    kinds = {len(prove_alternation(_diminished(root)).kinds) for root in (0, 1, 2)}
    (count,) = kinds
    return count, "kinds of four-note chord that alternate with a diminished seventh round a scale"


COUNTS: dict[str, Callable[[], tuple[int, str]]] = {
    "diminished sevenths": _count_diminished,
    "places": _count_targets,
    "alternating kinds": _count_kinds,
}


def exactly(kind: str, number: int) -> Proved:
    """State how many there are of something that can be counted through."""
    if kind not in COUNTS:
        raise LessonError(f"{kind!r} cannot be counted here", mend=", ".join(map(repr, COUNTS)))
    count, words = COUNTS[kind]()
    if count != number:
        raise LessonError(f"there are not {number} {words}", rule=f"there are {count}")
    return f"There are exactly {number_word(number)} {words}.", "counted through all twelve roots"


def _lowering() -> tuple[str, str]:
    for root in range(12):
        for note in _diminished(root):
            left = PcSet.of(*(pc for pc in _diminished(root) if pc != note), (note - 1) % 12)
            if left != PcSet.of(*((note - 1 + n) % 12 for n in (0, 4, 7, 10))):
                return "", f"lowering {note} of {_pcs(_diminished(root))} gives {_pcs(left)}"
    return "Lower any one note of any diminished seventh: it becomes the root of a dominant.", ""


def _raising() -> tuple[str, str]:
    for root in range(12):
        for note in _diminished(root):
            left = PcSet.of(*(pc for pc in _diminished(root) if pc != note), (note + 1) % 12)
            if left != PcSet.of(*((note + 6 + n) % 12 for n in (0, 3, 7, 9))):
                return "", f"raising {note} of {_pcs(_diminished(root))} gives {_pcs(left)}"
    return "Raise any one note of any diminished seventh: a minor sixth chord is left.", ""


def _symmetry() -> tuple[str, str]:
    for root in range(12):
        if _diminished(root).transpose(3) != _diminished(root):
            return "", f"{_pcs(_diminished(root))} moved by three semitones is another"
    return "Any diminished seventh moved by three semitones is the same four notes.", ""


LAWS: dict[str, Callable[[], tuple[str, str]]] = {
    "lowering": _lowering,
    "raising": _raising,
    "symmetry": _symmetry,
}


def always(law: str) -> Proved:
    """State a law that holds for all twelve transpositions."""
    if law not in LAWS:
        raise LessonError(f"{law!r} is no law that is known here", mend=", ".join(map(repr, LAWS)))
    sentence, counter = LAWS[law]()
    if counter:
        raise LessonError(f"the law of {law} does not hold", rule=counter)
    return sentence, "checked for all twelve transpositions"
