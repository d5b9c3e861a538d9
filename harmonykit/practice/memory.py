"""What is remembered of each item over the days, and what was taken for what.

An item is a kind of exercise, what it asks about, and how it is put.  How well it is known, and
when it is to be asked again, says FSRS (version 6, with its published weights, for one to be right
nine times in ten); the first answer of a day counts there, since what follows within a sitting is
help.  What was missed is asked again the next day in any case.

A day counts once and never goes back: an answer that bears a later date than the one before it or
than today was given under a wrong clock, and counts as given on the day that is known to be.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from harmonykit.practice.question import HALF, RIGHT
from harmonykit.practice.sitting import Answered
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from fsrs import Card, Rating, Scheduler

_NOON = time(12, tzinfo=UTC)
_MOST_CONFUSED = 3
_CLEARED = 2
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Remembered:
    """How an item stands.

    Parameters
    ----------
    item : str
        As ``"parents: Bdim7: ear"``.
    asked, missed : int
        On how many days it was asked, and missed at the first answer.
    last, due : date
        When it was asked last, and when it is to be asked again.
    stability : float
        The days after which it is still known nine times in ten.
    difficulty : float in 1..10
    """

    item: str
    asked: int
    missed: int
    last: date
    due: date
    stability: float
    difficulty: float

    def known(self, on: date) -> float:
        """Return how probable it is that it is known on a day.

        Parameters
        ----------
        on : date

        Returns
        -------
        float

        Examples
        --------
        >>> from datetime import date
        >>> given = ("quay", 1, "scale", "words", 1, 1.0, 0, "Ab", "scale: C major: words")
        >>> answers = [hk.practice.Answered("2031-05-04T17:20:09", *given)]
        >>> found = hk.practice.remember(answers, date(2031, 5, 4))["scale: C major: words"]
        >>> round(found.known(date(2031, 5, 4)), 2), round(found.known(date(2031, 5, 6)), 2)
        (1.0, 0.91)
        """
        return float(_scheduler().get_card_retrievability(_card(self), datetime.combine(on, _NOON)))


def _card(found: Remembered) -> Card:
    from fsrs import Card, State

    return Card(
        card_id=1,
        state=State.Review,
        stability=found.stability,
        difficulty=found.difficulty,
        due=datetime.combine(found.due, _NOON),
        last_review=datetime.combine(found.last, _NOON),
    )


@lru_cache(maxsize=1)
def _scheduler() -> Scheduler:
    from fsrs import Scheduler

    return Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)


def _rating(each: Answered) -> Rating:
    """Return how an answer is rated: missed, with effort, or known."""
    from fsrs import Rating

    if each.score < HALF:
        return Rating.Again
    return Rating.Hard if each.score < RIGHT or each.hints else Rating.Good


def days_of(answers: Iterable[Answered], today: date) -> Iterator[tuple[date, Answered]]:
    """Give each answer with its day: never later than today, never before an earlier answer's."""
    latest = date.min
    for each in answers:
        try:
            day = datetime.fromisoformat(each.at).date()
        except ValueError:
            day = latest
        latest = min(max(day, latest), today)
        yield latest, each


def remember(answers: Iterable[Answered], today: date) -> dict[str, Remembered]:
    """Return how every item stands that was answered.

    Parameters
    ----------
    answers : iterable of Answered
        In the order in which they were given.
    today : date

    Returns
    -------
    dict of str to Remembered

    Examples
    --------
    >>> from datetime import date
    >>> given = ("quay", 1, "scale", "words", 1, 0.0, 0, "G", "scale: C major: words")
    >>> answers = [hk.practice.Answered("2031-05-04T17:20:09", *given)]
    >>> found = hk.practice.remember(answers, date(2031, 5, 4))["scale: C major: words"]
    >>> found.missed, found.due
    (1, datetime.date(2031, 5, 5))
    """
    from fsrs import Card, Rating

    found: dict[str, Remembered] = {}
    for day, each in days_of(answers, today):
        before = found.get(each.item)
        if not each.item or (before is not None and before.last == day):
            continue
        rating, at = _rating(each), datetime.combine(day, _NOON)
        card = Card(card_id=1, due=at) if before is None else _card(before)
        after, _ = _scheduler().review_card(card, rating, at)
        missed = rating == Rating.Again
        found[each.item] = Remembered(
            each.item,
            1 + (before.asked if before is not None else 0),
            missed + (before.missed if before is not None else 0),
            day,
            day + _DAY if missed else after.due.date(),
            float(after.stability or 0),
            float(after.difficulty or 0),
        )
    return found


@dataclass(frozen=True, slots=True)
class Confusion:
    """What was taken for what: asked in ``item``, ``given`` was answered where ``wanted`` is right.

    Parameters
    ----------
    item : str
    wanted, given : str
    times : int
    """

    item: str
    wanted: str
    given: str
    times: int


def confusions(answers: Iterable[Answered]) -> tuple[Confusion, ...]:
    """Return what was taken for what and is not cleared up, the most frequent first.

    It is cleared up once the item was answered rightly twice in a row.

    Parameters
    ----------
    answers : iterable of Answered

    Returns
    -------
    tuple of Confusion

    Examples
    --------
    >>> given = ("quay", 1, "drone", "ear", 1, 0.0, 0, "C#dim7", "drone: semitones above 0: ear")
    >>> wrong = hk.practice.Answered("2031-05-04T17:20:09", *given, "Cdim7", "C#dim7")
    >>> hk.practice.confusions([wrong, wrong])[0].times
    2
    """
    counted: Counter[tuple[str, str, str]] = Counter()
    right: Counter[str] = Counter()
    for each in answers:
        if not each.item:
            continue
        if each.score == RIGHT:
            right[each.item] += 1
            if right[each.item] >= _CLEARED:
                for key in [key for key in counted if key[0] == each.item]:
                    del counted[key]
            continue
        right[each.item] = 0
        for given in each.instead.split(_APART)[:_MOST_CONFUSED]:
            if given:
                counted[each.item, each.wanted, given] += 1
    return tuple(Confusion(*key, times) for key, times in counted.most_common())


_APART = ", "


def weakest(found: Mapping[str, Remembered], on: date) -> list[Remembered]:
    """Return what is due on a day: what was missed most first, then what is known least."""
    due = [each for each in found.values() if each.due <= on]
    return sorted(due, key=lambda each: (-each.missed / each.asked, each.known(on), each.item))
