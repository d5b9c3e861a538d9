"""The order of play: repeats and their endings, sections, and jumps to signs.

- A repeated part that closes without having opened starts after the part before, at a coda, or
  where its section does.
- A pick-up that no sign opens is played again only where the bar that closes has room for it.
- An ending is played in the passes that it names.  After a lone ending that goes back, the next
  pass leaves it out.
- A jump is taken once, when its bar is left for good.  D.C. goes to the beginning, D.S. to the
  nearest segno before.  After it repeats are not taken again, and each part is played as in its
  last pass.  *fine* ends the tune, and *to coda* goes on at the coda, where repeats count again.
  ``"D.C. al fine"`` minds the fine alone, ``"D.C. al coda"`` the coda alone, ``"D.C."`` both.
- A pick-up is played again after D.C. only where the bar before it has room for it.

Common practice of engravers and players, no source, where no standard is named.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from harmonykit.tune.bar import JUMPS, Bar, TuneError, bar_length
from harmonykit.values import dataclass

MOST_TIMES = 64


@dataclass(frozen=True, slots=True)
class Ending:
    """Bars that are played in some passes of their repeat alone, counted from 1.

    Parameters
    ----------
    numbers : tuple of int
        The passes in which it is played, from 1.
    first : int
        Index of its first bar.
    stop : int
        Index of the bar after its last.
    """

    numbers: tuple[int, ...]
    first: int
    stop: int


@dataclass(frozen=True, slots=True)
class Repeat:
    """Bars that are played several times, with what differs at their end.

    Parameters
    ----------
    first : int
        Index of its first bar.
    stop : int
        Index of the bar after its last.
    times : int
        How often it is played in all.
    endings : tuple of Ending
    """

    first: int
    stop: int
    times: int
    endings: tuple[Ending, ...] = ()

    def plays(self, bar: int, time: int) -> bool:
        """Return whether a bar is played in a pass.

        Parameters
        ----------
        bar : int
            Its place among the bars as written, from 0.
        time : int
            Which pass, from 1.

        Returns
        -------
        bool

        Examples
        --------
        >>> first, second = hk.tune.Ending((1,), 3, 4), hk.tune.Ending((2,), 4, 5)
        >>> repeat = hk.tune.Repeat(0, 5, 2, (first, second))
        >>> [bar for bar in range(5) if repeat.plays(bar, 2)]
        [0, 1, 2, 4]
        """
        return all(
            time in ending.numbers for ending in self.endings if ending.first <= bar < ending.stop
        )


def repeats_of(bars: Sequence[Bar], base: int) -> Iterator[Repeat]:
    """Yield the repeats of a section whose first bar has the place ``base`` in the tune."""
    start = index = 0
    while index < len(bars):
        bar = bars[index]
        if bar.opens or "coda" in bar.signs:
            start = index
        if bar.ending:
            stop = index + 1
            while stop < len(bars) and bars[stop].ending and not bars[stop].opens:
                stop += 1
            endings = tuple(_endings_of(bars, index, stop, base))
            times = _times(bars[stop - 1], endings)
            start += _past_pickup(bars, start, bars[endings[0].stop - base - 1])
            yield Repeat(base + start, base + stop, times, endings)
            start = index = stop
            continue
        index += 1
        if bar.closes:
            start += _past_pickup(bars, start, bar)
            yield Repeat(base + start, base + index, bar.closes)
            start = index


def _past_pickup(bars: Sequence[Bar], start: int, last: Bar) -> int:
    """Return 1 where a repeat from a pick-up begins after it, else 0."""
    first = bars[start]
    pickup = not start and not first.opens and first.length < bar_length(first.meter)
    return int(pickup and first is not last and first.length > bar_length(last.meter) - last.length)


def _endings_of(bars: Sequence[Bar], first: int, stop: int, base: int = 0) -> Iterator[Ending]:
    start = first
    for index in range(first, stop):
        after = bars[index + 1] if index + 1 < stop else None
        if after is None or bars[index].closes or after.ending != bars[index].ending:
            yield Ending(bars[index].ending, base + start, base + index + 1)
            start = index + 1


def endings_side_by_side(bars: Sequence[Bar]) -> Iterator[tuple[Ending, ...]]:
    """Yield the endings of each repeat that has any, by their places among the bars.

    Examples
    --------
    >>> from fractions import Fraction
    >>> plain = Bar(0, (4, 4), Fraction(4))
    >>> row = [plain, Bar(0, (4, 4), Fraction(4), ending=(1, 2), closes=2)]
    >>> [[(one.numbers, one.first) for one in found] for found in endings_side_by_side(row)]
    [[((1, 2), 1)]]
    """
    for repeat in repeats_of(bars, 0):
        if repeat.endings:
            yield repeat.endings


def endings_fault(bars: Sequence[Bar]) -> tuple[int, str] | None:
    """Return the index of the first ending that is not in order, and what is wrong with it.

    The endings of a repeat serve each pass from 1 once, and each but the last goes back: by a
    repeat sign, or by a jump.
    """
    for endings in endings_side_by_side(bars):
        taken: set[int] = set()
        for ending in endings:
            if again := taken.intersection(ending.numbers):
                return (
                    ending.first,
                    f"ending {_said(ending)}: pass {min(again)} has an ending already",
                )
            taken |= set(ending.numbers)
        for ending in endings:
            due = next(n for n in range(1, max(taken) + 2) if n not in taken)
            if due < max(ending.numbers):
                return ending.first, f"ending {_said(ending)} begins where [{due} is due"
        for ending, after in pairwise(endings):
            last = bars[ending.stop - 1]
            if not last.closes and not last.jump:
                return after.first, f"the ending before {_said(after)} does not close with :|"
    return None


def _said(ending: Ending) -> str:
    return f"[{','.join(map(str, ending.numbers))}"


def _times(last: Bar, endings: Sequence[Ending]) -> int:
    """Return how often a part with endings is played; after a lone one that goes back, once more.

    Where several endings are there, a sign after the last of them repeats nothing: tunes are
    written so where the next part opens (ABC standard 2.1, 4.9: an ending may end with ``:|``).
    """
    most = max(max(ending.numbers) for ending in endings)
    lone = len(endings) == 1 and (last.closes or last.jump)
    return max(most + 1, last.closes) if lone else most


MOST_PLAYED_BARS = 20_000


@dataclass(frozen=True, slots=True)
class Span:
    """A section at its place in the order; ``silent`` for a pick-up of rest, played once.

    Parameters
    ----------
    name : str
    first : int
        Index of its first bar.
    stop : int
        Index of the bar after its last.
    silent : bool
        Whether it is a pick-up of rest, played once.
    """

    name: str
    first: int
    stop: int
    silent: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign at a bar; ``room`` is what the bar lacks of a whole one, in quarters.

    Parameters
    ----------
    sign : str
        ``"segno"``, ``"coda"``, ``"fine"``, ``"D.C. al fine"`` and so on.
    bar : int
        Index of the bar.
    room : Fraction
        What the bar lacks of a whole one, in quarters.
    """

    sign: str
    bar: int
    room: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Turn:
    """A written bar when its turn comes.

    Parameters
    ----------
    bar : int
        Which written bar.
    part : int
        Which span of the order it is played in.
    time : int
        Which pass of its repeat this is; 1 outside of repeats.
    """

    bar: int
    part: int
    time: int


class Player:
    """A player's way through written bars: sections in order, their repeats and signs."""

    def __init__(
        self,
        order: Sequence[Span],
        repeats: Sequence[Repeat],
        marks: Sequence[Mark],
        pickup: Fraction,
    ) -> None:
        self.opening, self.pickup = order[0], pickup
        self.stations = [
            (part, bar) for part, span in enumerate(order) for bar in range(span.first, span.stop)
        ]
        self.repeat = {b: r for r in repeats for b in range(r.first, r.stop)}
        self.signs: dict[int, dict[str, Mark]] = {}
        for mark in marks:
            self.signs.setdefault(mark.bar, {})[mark.sign] = mark
        # After a jump repeats are not taken, and some signs are minded.
        self.repeats, self.minded = True, tuple[str, ...]()
        # The repeat that the player is in, at which place of the order, and in which pass.
        self.inside: tuple[int, Repeat | None] = (-1, None)
        self.time = 1

    def turns(self) -> Iterator[Turn]:
        """Yield each bar as it is played."""
        at, count, taken = 0, 0, set[int]()
        while at < len(self.stations):
            part, bar = self.stations[at]
            repeat = self.repeat.get(bar)
            if (part, repeat) != self.inside:
                self.inside, self.time = (part, repeat), 1
            time = self.time if self.repeats or repeat is None else repeat.times
            here, at = at, at + 1
            if repeat is None or repeat.plays(bar, time):
                if count == MOST_PLAYED_BARS:
                    raise TuneError(f"more than {MOST_PLAYED_BARS} bars are played")
                count += 1
                yield Turn(bar, part, time)
                signs = self.signs.get(bar, {})
                if "fine" in signs and "fine" in self.minded:
                    return
                if "to coda" in signs and "to coda" in self.minded:
                    at = self._go_to_coda(here)
                    continue
                jump = next((signs[sign] for sign in JUMPS if sign in signs), None)
                if jump and here not in taken and not self._comes_again(bar, time, repeat):
                    taken.add(here)
                    at = self._jump(here, jump)
                    continue
            if repeat and bar == repeat.stop - 1 and self.repeats and time < repeat.times:
                self.time = time + 1
                at = here - (bar - repeat.first)

    def _comes_again(self, bar: int, time: int, repeat: Repeat | None) -> bool:
        """Return whether a later pass plays a bar too."""
        if repeat is None or not self.repeats:
            return False
        return any(repeat.plays(bar, later) for later in range(time + 1, repeat.times + 1))

    def _jump(self, here: int, jump: Mark) -> int:
        """Return where a jump leads, and mind the signs that it names."""
        sign = jump.sign
        self.minded = tuple(
            mind for mind in ("fine", "to coda") if " al " not in sign or mind.endswith(sign[8:])
        )
        self.repeats, self.inside = False, (-1, None)
        return self._beginning(jump) if sign.startswith("D.C.") else self._segno(here)

    def _beginning(self, jump: Mark) -> int:
        if self.opening.silent:
            return self.opening.stop - self.opening.first
        return int(len(self.stations) > 1 and self.pickup > jump.room)

    def _segno(self, here: int) -> int:
        places = self._places("segno")
        return max((n for n in places if n <= here), default=next(iter(places), here + 1))

    def _go_to_coda(self, here: int) -> int:
        self.repeats, self.minded, self.inside = True, (), (-1, None)
        return next((n for n in self._places("coda") if n > here), len(self.stations))

    def _places(self, sign: str) -> list[int]:
        return [n for n, (_, bar) in enumerate(self.stations) if sign in self.signs.get(bar, {})]
