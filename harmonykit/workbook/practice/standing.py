"""How well one stands with a kind of exercise: the level, and how it rises and falls.

Three right in a row, none of them with a hint, lead a level up; two wrong in a row lead one down.
A right answer with a hint adds nothing to the row and does not break it; half an answer breaks a
row of wrong ones and adds nothing.  Levels are 1 to 4.
"""

from __future__ import annotations

from dataclasses import dataclass

from harmonykit.errors import HarmonyError
from harmonykit.workbook.practice.question import LEVELS, RIGHT, WRONG

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
            raise HarmonyError(f"a level of {self.level}", rule=f"1 to {LEVELS}")

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
            raise HarmonyError(f"{text!r} is not a standing", mend=str(cls()))
        level, right, wrong = (int(part[:4]) for part in parts)
        return cls(level, right, wrong)

    def after(self, score: float, hints: int = 0) -> Standing:
        """Return the standing after an answer."""
        if score == WRONG:
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
