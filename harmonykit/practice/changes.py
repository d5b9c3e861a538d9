"""Changes of shapes, practised at a rising tempo: a hand is not a flash card.

A change has a scale of its own: the best tempo at which it was clean, and the days since.  It is
practised as a loop of two bars, a bar of each shape: two clean rounds in a row lead on to a higher
tempo, one that was not clean leads back (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from harmonykit.practice.rounds import FASTEST, SLOWEST, Round
from harmonykit.practice.theme import Theme
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from harmonykit.arrange.arrangement import Arrangement

START = 50
CLEAN_IN_A_ROW = 2
_UP, _DOWN, _LEAST = 0.08, 0.12, 2


@dataclass(frozen=True, slots=True)
class ChangeStanding:
    """How one stands with a change.

    Parameters
    ----------
    before, after : str
    best : int
        The best tempo at which it was clean; 0 for none.
    days : int or None
        Days since it was practised; None for never.
    tempo : int
        At which the next round is to be.
    minutes : float
        How long it was practised in all.
    """

    before: str
    after: str
    best: int
    days: int | None
    tempo: int
    minutes: float


def next_tempo(rounds: Sequence[Round]) -> int:
    """Return the tempo of the next round of one change.

    Parameters
    ----------
    rounds : sequence of Round
        Those of this change, in their order.

    Returns
    -------
    int
        Quarters a minute, an even number.

    Examples
    --------
    >>> one = hk.practice.Round("2031-05-04", "ukulele", "2-2-2-3", "0-2-1-2", 60, True, 30)
    >>> [hk.practice.next_tempo(rounds) for rounds in ([], [one], [one, one])]
    [50, 60, 64]
    """
    if not rounds:
        return START
    last = rounds[-1]
    if not last.clean:
        return _even(last.tempo - max(_LEAST, last.tempo * _DOWN))
    row = rounds[-CLEAN_IN_A_ROW:]
    sure = len(row) == CLEAN_IN_A_ROW and all(r.clean and r.tempo == last.tempo for r in row)
    return _even(last.tempo + max(_LEAST, last.tempo * _UP)) if sure else last.tempo


def _even(tempo: float) -> int:
    return min(FASTEST, max(SLOWEST, 2 * round(tempo / 2)))


def change_standings(
    rounds: Iterable[Round], changes: Iterable[tuple[str, str]], instrument: str, today: date
) -> tuple[ChangeStanding, ...]:
    """Return how one stands with some changes: what was let lie longest and is slowest first.

    Parameters
    ----------
    rounds : iterable of Round
    changes : iterable of tuple
        Two shapes each.
    instrument : str
    today : date

    Returns
    -------
    tuple of ChangeStanding

    Examples
    --------
    >>> from datetime import date
    >>> one = hk.practice.Round("2031-05-04", "ukulele", "2-2-2-3", "0-2-1-2", 60, True, 90)
    >>> pairs = [("0-2-1-2", "2-2-2-3")]
    >>> found, = hk.practice.change_standings([one], pairs, "ukulele", date(2031, 5, 6))
    >>> found.best, found.days, found.minutes
    (60, 2, 1.5)
    """
    every = list(rounds)
    found = []
    for before, after in changes:
        key = (instrument, *sorted((before, after)))
        own = [each for each in every if each.change == key]
        found.append(
            ChangeStanding(
                before,
                after,
                max((each.tempo for each in own if each.clean), default=0),
                max(0, (today - _day(own[-1], today)).days) if own else None,
                next_tempo(own),
                sum(each.seconds for each in own) / 60,
            )
        )
    return tuple(
        sorted(found, key=lambda each: (each.days is not None, -(each.days or 0), each.best))
    )


def _day(each: Round, today: date) -> date:
    try:
        return min(today, datetime.fromisoformat(each.at).date())
    except ValueError:
        return today


@dataclass(frozen=True, slots=True)
class Change:
    """A change from one shape to another, with the chords that they are.

    Parameters
    ----------
    before, after : str
        The two shapes: ``"0-0-0-0"``.
    first, second : str
        The chords: ``"C6"``; empty where they have no name.
    """

    before: str
    after: str
    first: str = ""
    second: str = ""

    @property
    def label(self) -> str:
        """The change as it stands in a list, where two may be of the same chords.

        Examples
        --------
        >>> Change("0-0-0-0", "0-2-1-2", "C6", "G7").label
        'C6 to G7: 0-0-0-0 to 0-2-1-2'
        """
        shapes = f"{self.before} to {self.after}"
        if not (self.first and self.second):
            return shapes
        first, second = (Chord.parse(name).unicode for name in (self.first, self.second))
        return f"{first} to {second}: {shapes}"


def changes_of(theme: Theme, level: int = 1) -> tuple[tuple[str, str], ...]:
    """Return the changes between shapes that a lesson asks of the hand.

    At level 1 the usual shapes stand, then the nearest of the first two, three, four.

    Parameters
    ----------
    theme : Theme
    level : int in 1..4

    Returns
    -------
    tuple of tuple of str and str

    Examples
    --------
    >>> hk.practice.changes_of(hk.practice.Theme(pairs=("C6>G7",)))
    (('0-0-0-0', '0-2-1-2'),)
    """
    return tuple((each.before, each.after) for each in named_changes(theme, level))


def named_changes(theme: Theme, level: int = 1) -> tuple[Change, ...]:
    """Return the changes between a theme's chords, each as two shapes.

    Examples
    --------
    >>> named_changes(Theme(pairs=("C6>G7",)))
    (Change(before='0-0-0-0', after='0-2-1-2', first='C6', second='G7'),)
    """
    return _once(_nearest(theme, level))


def _nearest(theme: Theme, level: int) -> Iterator[Change]:
    from harmonykit.fretboard.hands.travel import travel_mm
    from harmonykit.practice.shapes import shapes_of

    limits = theme.limits(level)
    for before, after in theme.changes(level):
        starts = shapes_of(before.over(None), theme.neck, limits)
        ends = shapes_of(after.over(None), theme.neck, limits)
        if starts and ends:
            start = starts[0]
            end = min(ends[:level], key=lambda shape: travel_mm(start, shape))
            yield Change(start.digits, end.digits, before.symbol, after.symbol)


def _once(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Return changes as they come, each once whichever way round, and none that is no change."""
    found: dict[frozenset[str], Change] = {}
    for each in changes:
        if each.before != each.after:
            found.setdefault(frozenset((each.before, each.after)), each)
    return tuple(found.values())


def changes_of_lesson(lesson: str | Path, level: int = 1) -> tuple[Change, ...]:
    """Return the changes that a level of a lesson plays, in their order, each once.

    Parameters
    ----------
    lesson : str or Path
        A lesson file, or the bare name of one that ships.
    level : int
        Counted from 1.

    Returns
    -------
    tuple of Change

    Raises
    ------
    HarmonyError
        If the lesson cannot be read, or has no such level.

    Examples
    --------
    >>> changes_of_lesson("stiff_dominant")[0]
    Change(before='2-2-1-2', after='0-2-0-1', first='Dm6', second='Gm6')
    """
    from harmonykit.lesson.build import load_lesson
    from harmonykit.lesson.plan.model import LessonError

    played = load_lesson(lesson).played
    if not 1 <= level <= len(played):
        raise LessonError(f"unknown level {level}", rule=f"1 to {len(played)}")
    return changes_played([played[level - 1].arrangement])


def changes_played(arrangements: Iterable[Arrangement]) -> tuple[Change, ...]:
    """Return the changes of some arrangements, in their order, each once."""
    return _once(each for way in arrangements for each in _of(way))


def _of(way: Arrangement) -> Iterator[Change]:
    held = [
        (step.voicing.digits, step.chord.symbol if step.chord is not None else "")
        for step in way.steps
        if step.voicing is not None
    ]
    for (before, first), (after, second) in pairwise(held):
        yield Change(before, after, first, second)
