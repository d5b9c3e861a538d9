"""A sitting: what is to be asked, the answers that count, and what was missed and comes back.

Three right in a row, none of them with a hint, lead a level up; two wrong in a row lead one down.
A right answer with a hint adds nothing to the row and does not break it; half an answer or more
breaks a row of wrong ones and adds nothing; less than half is wrong.  Levels are 1 to 4.

What was missed comes back after three to six other questions, as often as it is missed; what it was
taken for is then set beside it.  Where nothing is due other questions are asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files.lock import json_line
from harmonykit.practice.kinds import KINDS
from harmonykit.practice.question import HALF, LEVELS, MEDIA, RIGHT, Chance
from harmonykit.values import asdict, dataclass, fields, replace

FORMAT = 2
FORMATS = (1, 2)
_MOST_HINTS = 99
# Fields that format 1 has not.
_NEW = {"item", "wanted", "instead"}


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer that counts: the first that was checked for its question.

    Parameters
    ----------
    at : str
        Local date and time, as ISO 8601 writes them.
    seed, kind, medium : str
    number, level : int
    score : float in 0..1
        Which share of what was asked for is right.
    hints : int
        How many were taken.
    answer : str
        As it was written.
    item : str
        Kind, what was asked about, and medium; empty in files of format 1.
    wanted : str
        A right answer, where it was not given.
    instead : str
        What was answered in place of what is right.
    """

    at: str
    seed: str
    number: int
    kind: str
    medium: str
    level: int
    score: float
    hints: int
    answer: str
    item: str = ""
    wanted: str = ""
    instead: str = ""

    def line(self) -> bytes:
        """Return the line of the file that records it.

        Returns
        -------
        bytes
        """
        return json_line(asdict(self))

    @classmethod
    def read(cls, values: object) -> Answered:
        """Return the answer that a line's values record.

        Parameters
        ----------
        values : object

        Returns
        -------
        Answered

        Raises
        ------
        ValueError
            If they are no answer.

        Examples
        --------
        >>> from json import loads
        >>> given = ("2031-05-04T17:20:09", "quay", 1, "scale", "words", 1, 1.0, 0, "Ab")
        >>> line = hk.practice.Answered(*given).line()
        >>> hk.practice.Answered.read(loads(line)).answer
        'Ab'
        """
        names = {field.name: field.type for field in fields(cls)}
        if not isinstance(values, dict) or set(values) not in ({*names}, {*names} - _NEW):
            raise ValueError("it is not an answer")
        read: dict[str, Any] = {name: "" for name in names if name in _NEW} | values
        for name, kind in names.items():
            wanted = {"str": (str,), "int": (int,), "float": (int, float)}[str(kind)]
            if type(read[name]) not in wanted:
                raise ValueError(f"{name} is {read[name]!r}")
        found = cls(**{**read, "score": float(read["score"])})
        wrong = found.kind not in KINDS or found.medium not in MEDIA or not 0 <= found.score <= 1
        if wrong or not 1 <= found.level <= LEVELS or not 0 <= found.hints <= _MOST_HINTS:
            raise ValueError("its values are out of range")
        return found


@dataclass(frozen=True, slots=True)
class Owner:
    """For whom a file is: a name, and the set that is worked through; both empty for oneself."""

    name: str = ""
    set: str = ""

    def head(self) -> dict[str, Any]:
        """Return the values of the first line."""
        about = {"format": FORMAT, "made_by": "harmonykit", "kind": "exercises"}
        return {**about, "for": self.name, "set": self.set}


NOBODY = Owner()
"""Oneself: no name, and no set."""


UP_AFTER, DOWN_AFTER = 3, 2


@dataclass(frozen=True, slots=True)
class Standing:
    """A level, and how many right and wrong answers came in a row since it was reached.

    Examples
    --------
    >>> standing = Standing()
    >>> for _ in range(3):
    ...     standing = standing.after(1.0)
    >>> standing.level, standing.after(0.0).after(0.0).level
    (2, 1)
    >>> Standing(1, 2).after(1.0, hints=1), Standing.parse("2.1.0")
    (Standing(level=1, right=2, wrong=0), Standing(level=2, right=1, wrong=0))
    """

    level: int = 1
    right: int = 0
    wrong: int = 0

    def __post_init__(self) -> None:
        if not (1 <= self.level <= LEVELS and self.right >= 0 and self.wrong >= 0):
            raise HarmonyError(f"level {self.level} is out of range", rule=f"1 to {LEVELS}")

    @classmethod
    def parse(cls, text: str) -> Standing:
        """Read what ``str`` writes.

        Raises
        ------
        HarmonyError
            If it is something else.
        """
        parts = text.split(".")
        if len(parts) != 3 or not all(part.isascii() and part.isdigit() for part in parts):
            raise HarmonyError(
                f"{text!r} is not a level with its counts of right and wrong", mend=str(cls())
            )
        level, right, wrong = (int(part[:4]) for part in parts)
        return cls(level, right, wrong)

    def after(self, score: float, hints: int = 0) -> Standing:
        """Return the standing after an answer."""
        if score < HALF:
            if self.wrong + 1 < DOWN_AFTER:
                return Standing(self.level, 0, self.wrong + 1)
            return Standing(max(1, self.level - 1))
        if score < RIGHT or hints:
            return Standing(self.level, self.right)
        if self.right + 1 < UP_AFTER:
            return Standing(self.level, self.right + 1)
        return Standing(min(LEVELS, self.level + 1))

    def __str__(self) -> str:
        return f"{self.level}.{self.right}.{self.wrong}"


def standings_of(answers: Iterable[Answered]) -> dict[str, Standing]:
    """Return the standing with each kind that was answered."""
    found: dict[str, Standing] = {}
    for each in answers:
        # A level that was set by hand, or another file's, is taken as it is.
        before = found.get(each.kind, Standing(each.level))
        if before.level != each.level:
            before = Standing(each.level)
        found[each.kind] = before.after(each.score, each.hints)
    return found


NEAREST, FARTHEST = 3, 6
_APART, _PAIR, _BACK = "@", "~", "!"
_MOST = 60


@dataclass(frozen=True, slots=True)
class Due:
    """An item that is to be asked as a certain question of a sitting, or as a later one.

    Parameters
    ----------
    number : int
        Which question.
    item : str
    pair : tuple of str
        Two that were taken for each other, one of which is the answer; or nothing.
    back : bool
        Whether it was missed before and comes back.
    """

    number: int
    item: str
    pair: tuple[str, ...] = ()
    back: bool = False

    @classmethod
    def parse(cls, text: str) -> Due | None:
        """Read what ``str`` writes; nothing where it is something else."""
        number, _, rest = text.partition(_APART)
        back, number = number.endswith(_BACK), number.removesuffix(_BACK)
        item, *pair = rest.replace("_", " ").split(_PAIR)
        if not (number.isascii() and number.isdigit()) or item.count(": ") != 2:
            return None
        return cls(int(number[:9]), item, tuple(pair), back) if len(pair) in (0, 2) else None

    def __str__(self) -> str:
        number = f"{self.number}{_BACK if self.back else ''}"
        return f"{number}{_APART}{_PAIR.join((self.item, *self.pair))}".replace(" ", "_")


@dataclass(frozen=True, slots=True)
class Sitting:
    """What is still to be asked, by the numbers of the questions.

    Parameters
    ----------
    due : tuple of Due

    Examples
    --------
    >>> sitting = Sitting.of(["parents: Bdim7: ear", "scale: C major: words"], 1)
    >>> sitting.at(1).item, sitting.without(sitting.at(1)).at(1)
    ('parents: Bdim7: ear', None)
    """

    due: tuple[Due, ...] = ()

    @classmethod
    def of(cls, items: Iterable[str], first: int) -> Sitting:
        """Return the sitting in which items are asked one after another."""
        return cls(tuple(Due(number, item) for number, item in enumerate(items, first)))

    @classmethod
    def parse(cls, texts: Iterable[str]) -> Sitting:
        """Read what ``texts`` are; what cannot be read is left out."""
        found = (Due.parse(text) for text in texts)
        return cls(tuple(each for each in found if each is not None)[:_MOST])

    @property
    def texts(self) -> tuple[str, ...]:
        """Each as a word."""
        return tuple(map(str, self.due))

    def at(self, number: int) -> Due | None:
        """Return what is to be asked as a question: the earliest that is due by then, or none."""
        ready = [each for each in self.due if each.number <= number]
        return min(ready, key=lambda each: each.number, default=None)

    def without(self, due: Due) -> Sitting:
        """Return the sitting without one that was asked."""
        return Sitting(tuple(each for each in self.due if each != due))

    def after(self, number: int, item: str, score: float, pair: tuple[str, ...] = ()) -> Sitting:
        """Return the sitting after an answer: what was missed is due again.

        Parameters
        ----------
        number : int
            Which question it was.
        item : str
        score : float
        pair : tuple of str
            What is right and what was taken for it, if something was.
        """
        if score == RIGHT or not item or len(self.due) >= _MOST:
            return self
        back = [each for each in self.due if each.back and each.item != item]
        taken = {each.number for each in back}
        # Of four in a row at most three are taken: each question sends back one at most.
        window = range(number + 1 + NEAREST, number + 2 + FARTHEST)
        free = [each for each in window if each not in taken] or [window[-1]]
        place = Chance(f"{number}/{item}").pick(free)
        back.append(Due(place, item, pair, back=True))
        planned = [each for each in self.due if not each.back and each.item != item]
        return Sitting((*back, *_around(planned, taken | {place})))


def _around(planned: Iterable[Due], taken: set[int]) -> tuple[Due, ...]:
    """Return what is planned in its order, at numbers that are free."""
    row: list[Due] = []
    for each in sorted(planned, key=lambda due: due.number):
        number = max(each.number, row[-1].number + 1 if row else 0)
        while number in taken:
            number += 1
        row.append(replace(each, number=number))
    return tuple(row)
