"""Words that answers are told with: what is not in it, what is missing, how notes moved."""

from collections.abc import Iterable, Sequence

from harmonykit.draw.base.style import join_words
from harmonykit.lesson.statements.facts import NUMBERS as WORDS
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import Note, printed_accidental
from harmonykit.theory.sets.pcset import PcSet

GOOD, NEARLY, NOT_YET = "Right.", "Nearly.", "Not yet."
NUMBERS = ("none", *WORDS[1:5])
RANKS = ("lowest", "second lowest", "second highest", "highest")
"""Four notes by pitch."""
_MOST_REASONS = 2


def listed(things: Iterable[Chord | Note], most: int = 12) -> str:
    """Return chords or notes as printed, each once.

    Examples
    --------
    >>> listed([Chord.parse("G7"), Chord.parse("Db7")])
    'G7 and D♭7'
    """
    return join_words(list(dict.fromkeys(thing.unicode for thing in things))[:most])


def typed(notes: Iterable[Note]) -> str:
    """Return notes as one types them.

    Examples
    --------
    >>> typed(Chord.parse("Bdim7").tones)
    'B D F Ab'
    """
    return " ".join(note.name for note in notes)


def printed_degrees(degrees: Iterable[Degree]) -> str:
    """Return degrees as printed.

    Examples
    --------
    >>> printed_degrees(Chord.parse("Bdim7").degrees)
    '1, ♭3, ♭5 and 𝄫7'
    """
    return join_words([f"{printed_accidental(each.alter)}{each.number}" for each in degrees])


def verb(names: Sequence[object], one: str, several: str) -> str:
    """Return the verb that goes with one thing or several."""
    return one if len(names) == 1 else several


def sentences(head: str, *parts: str) -> str:
    """Return sentences in a row, empty ones left out."""
    return " ".join([head, *(part for part in parts if part)])


def reasons(texts: Sequence[str]) -> str:
    """Return the first reasons, and how many more there are."""
    more = len(texts) - _MOST_REASONS
    rest = f"And {NUMBERS[more] if more < len(NUMBERS) else more} more." if more > 0 else ""
    return sentences(" ".join(texts[:_MOST_REASONS]), rest).strip()


def granted(things: Sequence[Chord | Note]) -> str:
    """Return what is right of an answer that is not right as a whole; nothing for nothing.

    Examples
    --------
    >>> granted([Note.parse("A"), Note.parse("C")]), granted([])
    ('A and C are right.', '')
    """
    return f"{listed(things)} {verb(things, 'is', 'are')} right." if things else ""


def lacking(things: Sequence[Chord | Note], why: str) -> str:
    """Return what is missing, and why the first of them belongs there; nothing for nothing.

    Examples
    --------
    >>> lacking([Note.parse("A"), Note.parse("C")], ": it rises.")
    'A and C are missing: it rises.'
    """
    return f"{listed(things)} {verb(things, 'is', 'are')} missing{why}" if things else ""


def faults(sounding: PcSet, chord: Chord, names: Sequence[Note]) -> str:
    """Return which of some notes are not in a chord, and which of its own are missing.

    Parameters
    ----------
    sounding : PcSet
        What sounds or is written.
    chord : Chord
    names : sequence of Note
        What the notes were called.

    Examples
    --------
    >>> faults(PcSet.of(2, 6, 9, 11), Chord.parse("D7"), Chord.parse("D6").tones)
    'B is not in D7. C is missing.'
    """
    extra = [note for note in names if note.pitch_class not in chord.pcs]
    missing = [note for note in chord.tones if note.pitch_class not in sounding]
    return said_faults(extra, missing, chord.unicode)


def said_faults(extra: Sequence[Note], missing: Sequence[Note], name: str) -> str:
    """Return what is not in a chord or scale and what is missing, in words."""
    extra, missing = list(dict.fromkeys(extra)), list(dict.fromkeys(missing))
    found = []
    if extra:
        found.append(f"{listed(extra)} {verb(extra, 'is', 'are')} not in {name}.")
    if missing:
        found.append(f"{listed(missing)} {verb(missing, 'is', 'are')} missing.")
    return " ".join(found)
