"""Answers that count, as values and as JSON, whose they are, and the level that they lead to.

Three right in a row, none of them with a hint, lead a level up; two wrong in a row lead one down.
A right answer with a hint adds nothing to the row and does not break it; half an answer or more
breaks a row of wrong ones and adds nothing; less than half is wrong.  Levels are 1 to 4.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass, fields
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.practice.kinds import KINDS
from harmonykit.practice.question import HALF, LEVELS, MEDIA, RIGHT

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
        return (json.dumps(asdict(self), ensure_ascii=False) + "\n").encode()

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
