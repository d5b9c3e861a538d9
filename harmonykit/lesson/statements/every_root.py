"""What is said of every root: statements tried in all twelve transpositions, and counts."""

from collections.abc import Callable
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.ideas.laws import called
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import facts, kinds, signature, sounding, turning
from harmonykit.lesson.statements.kinds import Stated, call_text
from harmonykit.lesson.statements.laws import COUNTS, LAWS, ROOTS, SAID
from harmonykit.theory.chord import Chord, Note
from harmonykit.words.former import FORMER
from harmonykit.words.numbers import in_words
from harmonykit.words.numbers import number as number_word


def exactly(kind: str, number: int) -> facts.Proved:
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
    return facts.proved(how_many(kind, number))


def how_many(kind: str, number: int) -> Stated:
    """State how many different ones there are of a kind."""
    count, words = COUNTS[kind]() if kind in COUNTS else _count_kind(kind)
    verb = "is" if number == 1 else "are"
    return Stated(
        count == number,
        f"{count} {words.replace('different ', '')}",
        f"There {verb} exactly {number_word(number)} {words}",
        f"there {verb} not {number} {words}",
        "counted on all twelve roots" if count == number else f"there are {count}",
        call_text("exactly", kind, count),
    )


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
        f"{quality!r} is not a chord quality",
        rule="a quality is the part of a symbol after its root",
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


def _count_kind(words: str) -> tuple[int, str]:
    kind = sounding.read_kind(words)
    if kind is not None:
        count = len(kind.sets)
        return count, f"different {kind.one if count == 1 else kind.many}"
    try:
        chords = from_every_root(words)
    except LessonError as error:
        known = ", ".join(map(repr, COUNTS))
        raise LessonError(
            f"{words!r} cannot be counted here",
            rule=error.rule,
            mend=f'a quality such as "aug" or "7#5", or one of {known}',
        ) from None
    count = len({chord.pcs for chord in chords})
    return count, f"different {called(chords[0].quality, count)}"


# Statements about chords alone, which can be made from any root.
ABOUT_CHORDS: dict[str, Callable[..., Stated]] = {
    "same_notes": kinds.same_notes,
    "set_class": kinds.set_class,
    "resolves_to": turning.resolves_to,
    "semitones_apart": kinds.semitones_apart,
    "common_notes": kinds.common_notes,
    "contains": kinds.contains,
    "turns_into": turning.turns_into,
    "alternates": kinds.alternates,
}
# Which of their arguments are chords; those behind them are notes, but for a name or a number.
_CHORDS = {
    "same_notes": 2, "set_class": 1, "resolves_to": 1, "semitones_apart": 2, "common_notes": 2,
    "contains": 2, "turns_into": 2, "alternates": 2,
}  # fmt: skip
_NOTES = ("resolves_to", "common_notes")


def always(law: str, *about: str | int) -> facts.Proved:
    """State a law of ``laws.LAWS``, or a statement about chords, for all twelve transpositions."""
    law = FORMER["call"].get(law, law)
    if law in LAWS and not about:
        sentence, counter = LAWS[law]()
        if counter:
            raise LessonError(f"the law {law!r} does not hold", rule=counter)
        return sentence, "checked for all twelve transpositions"
    if law in LAWS:
        raise LessonError(
            f"the law {law!r} takes no other arguments",
            rule="it is about every chord of its kind",
            mend=call_text("always", law),
        )
    if law in ABOUT_CHORDS and not about:
        raise LessonError(f"always({law!r}) names no chord", rule="give its chords after its name")
    if law not in ABOUT_CHORDS:
        known = ", ".join(map(repr, (*LAWS, *ABOUT_CHORDS)))
        raise LessonError(f"{law!r} is not a law or a statement about chords", mend=known)
    return _from_every_root(law, about)


def _from_every_root(statement: str, about: tuple[Any, ...]) -> facts.Proved:
    prove = ABOUT_CHORDS[statement]
    signature.check_arguments(statement, prove, [signature.Given(each) for each in about])
    count = _CHORDS[statement]
    chords = [Chord.parse(name) for name in about[:count]]
    notes = [Note.parse(name) for name in about[count:]] if statement in _NOTES else []
    rest = about[count + len(notes) :]
    try:
        facts.proved(prove(*about))
    except LessonError as error:
        # What is false as it is typed is said of the chords and notes that were typed.
        mend = error.mend.replace(f"{statement}(", f'always("{statement}", ', 1)
        raise LessonError(error.what, place=error.place, rule=error.rule, mend=mend) from None
    for up in range(1, 12):
        facts.proved(prove(*(_moved(c, up) for c in chords), *(_root(n, up) for n in notes), *rest))
    return _said_generally(statement, chords, notes, rest), "checked for all twelve transpositions"


def _said_generally(
    statement: str, chords: list[Chord], notes: list[Note], rest: tuple[Any, ...]
) -> str:
    """Say a statement of every root, without the name of a note."""
    if statement == "semitones_apart":
        return SAID[statement](*chords, in_words(int(rest[0]), "half step"))
    if statement in ("common_notes", "turns_into"):
        return SAID[statement](*chords)
    return SAID[statement](*chords, *notes, *rest)


def _moved(chord: Chord, up: int) -> str:
    """Return the symbol of a chord moved up by semitones."""
    moved = Chord.build(Note.parse(_root(chord.root, up)), chord.degrees)
    return moved.over(Note.parse(_root(chord.bass, up))).symbol


def _root(note: Note, up: int) -> str:
    return ROOTS[(note.pitch_class + up) % 12]
