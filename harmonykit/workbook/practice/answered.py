"""One answer that counts, and for whom a file of answers is: as values and as JSON."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields
from typing import Any

from harmonykit.workbook.practice.kinds import KINDS
from harmonykit.workbook.practice.question import LEVELS, MEDIA

FORMAT = 1
_SCORES = (0.0, 0.5, 1.0)
_MOST_HINTS = 99


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer that counts: the first that was checked for its question.

    Parameters
    ----------
    at : str
        Local date and time, as ISO 8601 writes them.
    seed, kind, medium : str
    number, level : int
    score : {0.0, 0.5, 1.0}
    hints : int
        How many were taken.
    answer : str
        As it was written.
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

    def line(self) -> bytes:
        """Return the line of the file that stands for it.

        Returns
        -------
        bytes
        """
        return (json.dumps(asdict(self), ensure_ascii=False) + "\n").encode()

    @classmethod
    def read(cls, values: object) -> Answered:
        """Return the answer that a line's values stand for.

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
        if not isinstance(values, dict) or set(values) != set(names):
            raise ValueError("it is not an answer")
        for name, kind in names.items():
            wanted = {"str": (str,), "int": (int,), "float": (int, float)}[str(kind)]
            if type(values[name]) not in wanted:
                raise ValueError(f"{name} is {values[name]!r}")
        found = cls(**{**values, "score": float(values["score"])})
        wrong = found.kind not in KINDS or found.medium not in MEDIA or found.score not in _SCORES
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
