"""What an exercise is: a question as a value, drawn by chance from a seed, and how it is judged.

Every answer is a line of text, however it is given: pressing a note on the clock or a fret on the
neck writes into that line.  So a question can be kept, handed out and judged as text.  A *form*
says what the line holds:

========  ==========================================  ====================
form      what is written                             what is pressed
========  ==========================================  ====================
chords    chord symbols in any order                  nothing
notes     note names in any order                     notes of the clock
move      a note and where it goes: ``Ab to G``       two notes of the clock
shape     a fret for each string: ``2-2-2-3``         frets of the neck
number    semitones                                   nothing
letter    the letter of a way                         the neck of that way
========  ==========================================  ====================

What counts: 1 for right, by whatever name; where several are asked for, the share of them that is
there (three of four is 3/4), less where more is given than is asked for; 1/2 where a spelling is
asked for and what is written sounds right and is spelled otherwise; 0 for wrong.  What cannot be
read is no answer at all: it raises a ``HarmonyError`` that says what cannot be read, and nothing is
counted.

Each pick is read off a hash of the seed's text and of how many picks came before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from hashlib import sha256
from typing import TypeVar

from harmonykit.about.names import NO_NOTES
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.values import dataclass, field

T = TypeVar("T")


class Chance:
    """A row of picks that follows from a text alone.

    Parameters
    ----------
    seed : str

    Examples
    --------
    >>> chance = Chance("harbour")
    >>> [chance.pick("CDEFGAB") for _ in range(5)]
    ['B', 'B', 'A', 'G', 'D']
    >>> Chance("harbour").some("CDEFGAB", 3)
    ['B', 'C', 'G']
    """

    def __init__(self, seed: str) -> None:
        self._seed, self._picks = seed, 0

    def below(self, limit: int) -> int:
        """Return a whole number from 0 to below a limit."""
        self._picks += 1
        digest = sha256(f"{self._seed}/{self._picks}".encode()).digest()
        return int.from_bytes(digest[:8], "big") % limit

    def pick(self, items: Sequence[T]) -> T:
        """Return one of some items."""
        return items[self.below(len(items))]

    def some(self, items: Sequence[T], count: int) -> list[T]:
        """Return several different items, in the order in which they were picked."""
        left, taken = list(items), []
        for _ in range(min(count, len(left))):
            taken.append(left.pop(self.below(len(left))))
        return taken

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """Return all items in another order."""
        return self.some(items, len(items))


MEDIA = ("words", "clock", "neck", "ear")
"""How a question is put or answered: typed, on the clock, on the neck, or heard."""

RIGHT, HALF, WRONG = 1.0, 0.5, 0.0
LEVELS = 4
Pitches = tuple[int, ...]
SILENCE: Pitches = ()
Way = tuple[Voicing, Voicing]


@dataclass(frozen=True, slots=True)
class Spec:
    """What a question follows from: the same spec gives the same question on every machine.

    Parameters
    ----------
    seed : str
    number : int
        Which question of the seed, from 1.
    kind : str
        Such as ``"spelling"``.
    medium : {"words", "clock", "neck", "ear"}
    level : int in 1..4
    """

    seed: str
    number: int
    kind: str
    medium: str = "words"
    level: int = 1

    def chance(self) -> Chance:
        """Return the row of picks of this question.

        Returns
        -------
        Chance
        """
        return Chance(f"{self.seed}/{self.number}/{self.kind}/{self.medium}/{self.level}")


@dataclass(frozen=True, slots=True)
class Seen:
    """What is seen with a question or with what is said of an answer.

    Parameters
    ----------
    heading : str
        In the middle of the clock.
    notes : PcSet
    chord : Chord or None
        Gives the notes their roles and names.
    was : PcSet
        Notes of a chord before, dashed.
    old : Chord or None
        Gives those their names.
    moves : tuple of (int, int)
        Arrows from pitch class to pitch class.
    shape, before : Voicing or None
        Held on the neck, and held before.
    ways : tuple of (Voicing, Voicing)
        Ways from a shape to a shape, of the chord before and of the chord.
    best : int or None
        Which of the ways is marked.
    nameless : bool
        Whether the neck's marks have no letters.
    names : tuple of Note
        Names that go before the usual ones.
    """

    heading: str = ""
    notes: PcSet = NO_NOTES
    chord: Chord | None = None
    was: PcSet = NO_NOTES
    old: Chord | None = None
    moves: tuple[tuple[int, int], ...] = ()
    shape: Voicing | None = None
    before: Voicing | None = None
    ways: tuple[Way, ...] = ()
    best: int | None = None
    nameless: bool = False
    names: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is said of an answer.

    Parameters
    ----------
    score : float in 0..1
        The share that is right.
    said : str
        Whether it is right; where it is not, why.
    seen : Seen
        The picture that goes with it.
    instead : tuple of str
        What was answered in place of what is right, as one would type it.
    """

    score: float
    said: str
    seen: Seen = Seen()
    instead: tuple[str, ...] = ()


def share(right: int, wrong: int, of: int) -> float:
    """Return what an answer in parts counts: those that are right of all that was asked or given.

    Examples
    --------
    >>> share(3, 0, 4), share(3, 1, 4), share(0, 2, 4), share(4, 1, 4), share(4, 0, 4)
    (0.75, 0.75, 0.0, 0.8, 1.0)
    """
    return round(right / max(of, right + wrong), 2)


@dataclass(frozen=True, slots=True)
class Question:
    """A question.

    Parameters
    ----------
    spec : Spec
    text : str
        What is asked.
    form : str
        What the answer's line holds.
    answer : str
        A right answer, as one would type it.
    hints : tuple of str
        At least three; the last all but gives the answer.
    seen : Seen
        What is seen before an answer.
    judge : callable
        From an answer's line to a ``Verdict``; raises ``HarmonyError`` where it cannot be read.
    instrument : Instrument
    sounds : tuple of tuple of int
        What is heard, chord after chord, as MIDI numbers; an empty one is a silence.
    about : str
        The chord, change or scale that is asked about: ``"Bdim7"``, ``"C6>G7"``, ``"C major"``.
    choices : tuple of str
        The answers that it offers to choose from; none where one finds it oneself.
    """

    spec: Spec
    text: str
    form: str
    answer: str
    hints: tuple[str, ...]
    seen: Seen
    judge: Callable[[str], Verdict] = field(compare=False, repr=False)
    instrument: Instrument
    sounds: tuple[Pitches, ...] = ()
    about: str = ""
    choices: tuple[str, ...] = ()

    @property
    def item(self) -> str:
        """What is remembered: kind, what it is about, and medium."""
        return item_name(self.spec.kind, self.about, self.spec.medium)


def item_name(kind: str, about: str, medium: str) -> str:
    """Return the name under which something asked is remembered.

    Examples
    --------
    >>> item_name("parents", "Bdim7", "ear"), read_item("scale: C major: words")
    ('parents: Bdim7: ear', ('scale', 'C major', 'words'))
    """
    return f"{kind}: {about}: {medium}"


def read_item(item: str) -> tuple[str, str, str]:
    """Return the kind, what it is about and the medium of an item's name."""
    parts = item.split(": ")
    if len(parts) != 3:
        raise HarmonyError(f"{item!r} is not an item", mend="parents: Bdim7: words")
    return parts[0], parts[1], parts[2]
