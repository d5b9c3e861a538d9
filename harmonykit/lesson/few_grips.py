"""How a level comes to ask for few new grips.

A grip is learnt once, however often it is played; the search pays for each shape by itself.  So it
is asked in rounds: a grip that is yet to be learnt costs a price shared by all its uses in the
round before, so that one that is used once is dear and one that carries the level is cheap.  The
price grows until few enough are left; with those alone the level is found once more.  Where that
leaves out too much at once, grips are left out one by one, each time the one that is missed least.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.learning import Learning
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.grips import grip_form
from harmonykit.lesson.plan import grips
from harmonykit.lesson.plan.model import Lesson
from harmonykit.values import dataclass, field
from harmonykit.words.numbers import counted_word

NEW_GRIP = 170
"""What a new grip may save to be worth learning; ten is a semitone of one voice."""

_PRICES = (NEW_GRIP, 300, 600, 1200, 2400)

_NEVER = 1_000_000


def forms_of(way: Arrangement) -> Counter[Fretting]:
    """Return the grips of an arrangement, each with how often it is played; lone notes are none."""
    return Counter(grip_form(s.voicing) for s in way.sounding if s.voicing and not s.alone)


@dataclass(frozen=True, slots=True)
class FewGrips:
    """A level that is to have few new grips.

    Parameters
    ----------
    play : callable
        Finds the level at prices for grips.
    learnt : frozenset of tuple
        The grips that the class knows before.
    most : int
        How many new ones are few enough.
    keeps : callable
        Whether what was found is still the level.
    """

    play: Callable[[Learning], Arrangement]
    learnt: frozenset[Fretting]
    most: int
    keeps: Callable[[Arrangement], bool]
    _found: dict[frozenset[Fretting], Arrangement] = field(default_factory=dict)

    def of(self, free: Arrangement) -> Arrangement:
        """Return the level with few enough new grips, where it can be had.

        Of several the one that costs least; where none has so few, one that has fewest.

        Parameters
        ----------
        free : Arrangement
            The level as it is without.
        """
        if not self._new(free):
            return free
        found = [free, *self._at_prices(free)]
        over = [way for way in found if self._count(way) > self.most] or found
        found += self._one_by_one(min(over, key=self._worth))
        return min((free, *filter(self.keeps, found[1:])), key=self._worth)

    def _worth(self, way: Arrangement) -> tuple[int, int]:
        """Return what tells the better of two: too many new grips, then what both cost."""
        count = self._count(way)
        return max(count, self.most), way.cost + NEW_GRIP * count

    def _new(self, way: Arrangement) -> dict[Fretting, int]:
        return {form: n for form, n in forms_of(way).items() if form not in self.learnt}

    def _count(self, way: Arrangement) -> int:
        return len(self._new(way))

    def _with(self, forms: Iterable[Fretting]) -> Arrangement:
        """Return the level with some new grips alone."""
        chosen = frozenset(forms)
        if chosen not in self._found:
            self._found[chosen] = self.play(self._learning(dict.fromkeys(chosen, 0), _NEVER))
        return self._found[chosen]

    def _learning(self, prices: Mapping[Fretting, int], others: int) -> Learning:
        told = dict.fromkeys(self.learnt, 0) | dict(prices)
        return Learning(tuple(sorted(told.items(), key=str)), others)

    def _at_prices(self, way: Arrangement) -> Iterator[Arrangement]:
        """Yield the level at growing prices, each time with the grips alone that were chosen."""
        seen = {frozenset(self._new(way))}
        for price in _PRICES:
            if price > NEW_GRIP and self._count(way) <= self.most:
                return
            for _ in range(2):
                shared = {form: price // n for form, n in self._new(way).items()}
                way = self.play(self._learning(shared, price))
                chosen = frozenset(self._new(way))
                if chosen not in seen:
                    seen.add(chosen)
                    yield self._with(chosen)

    def _one_by_one(self, way: Arrangement) -> Iterator[Arrangement]:
        """Yield the level with a new grip less, and one less, as long as it gains by that."""
        while forms := set(self._new(way)):
            tried = [self._with(forms - {form}) for form in sorted(forms, key=str)]
            fewer = [one for one in tried if self._count(one) < len(forms) and self.keeps(one)]
            before, way = way, min(fewer, key=self._worth, default=way)
            if self._worth(way) >= self._worth(before):
                return
            yield way


def too_many(lesson: Lesson) -> Iterator[str]:
    """Yield a line for each level with more new grips than a class can learn, and what helps.

    The tune's chords are never cut.
    """
    new = grips.new_grips([played.arrangement for played in lesson.played], lesson.front.knows)
    for number, (played, fresh) in enumerate(zip(lesson.played, new, strict=True)):
        most = grips.most_new(number)
        if len(fresh) > most:
            yield (
                f'level {number + 1}, "{played.level.name}", has {counted_word(len(fresh))} new '
                f"grips, where {counted_word(most)} are enough: easier is another key or a capo "
                "(harmonykit parts TUNE lists them), or a section of the tune alone"
            )
