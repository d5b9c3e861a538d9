"""A sitting: what is to be asked, and what was missed and comes back.

What was missed comes back after three to six other questions, as often as it is missed; what it was
taken for is then set beside it.  Where nothing is due other questions are asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from harmonykit.practice.question import RIGHT, Chance

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
