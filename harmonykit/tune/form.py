"""The form of a tune: repeats, endings, jumps and the order of sections, and what is played.

A form counts written bars from 0, section after section as they are written; a span of them runs
from ``first`` up to, but not with, ``stop``.  The order of play follows from it by these rules
(common practice of engravers and players, no source, where no standard is named):

- A repeated part that closes without having opened starts after the part before, at a coda, or
  where its section does.
- An ending is played in the passes that it names.  After a lone ending that goes back, the next
  pass leaves it out.
- A jump is taken once, when its bar is left for good.  D.C. goes to the beginning, D.S. to the
  nearest segno before.  After it repeats are not taken again, and each part is played as in its
  last pass.  *fine* ends the tune, and *to coda* goes on at the coda, where repeats count again.
  ``"D.C. al fine"`` minds the fine alone, ``"D.C. al coda"`` the coda alone, ``"D.C."`` both.
- A pick-up is played again after D.C. only where the bar before it has room for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from harmonykit.tune.bar import JUMPS, SIGNS, Bar, TuneError, bar_length

MOST_PLAYED_BARS = 20_000
MOST_TIMES = 64
PICKUP = "pick-up"


@dataclass(frozen=True, slots=True)
class Section:
    """A named part of a tune, with its bars as written.

    Parameters
    ----------
    name : str
    bars : tuple of Bar
        As written.
    phrases : tuple of int
        How many bars each phrase has, where it is set; a pick-up is none of them.
    """

    name: str
    bars: tuple[Bar, ...]
    phrases: tuple[int, ...] = ()


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
            From 1, as written.
        time : int

        Returns
        -------
        bool
        """
        return all(
            time in ending.numbers for ending in self.endings if ending.first <= bar < ending.stop
        )


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign at a bar; ``room`` is what the bar leaves of a whole one, in quarters.

    Parameters
    ----------
    sign : str
        ``"segno"``, ``"coda"``, ``"fine"``, ``"D.C. al fine"`` and so on.
    bar : int
        Index of the bar.
    room : Fraction
        What the bar leaves of a whole one, in quarters.
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


@dataclass(frozen=True, slots=True)
class Form:
    """What is written once and played more than once.

    Parameters
    ----------
    order : tuple of Span
        The sections in playing order.
    repeats : tuple of Repeat
        In order; they do not overlap.
    marks : tuple of Mark
        Signs such as ``"segno"`` and ``"fine"``, in the order of their bars.
    pickup : Fraction
        Quarters of the short bar that opens the tune; 0 where it starts with a whole one.

    Examples
    --------
    >>> endings = hk.tune.Ending((1,), 2, 3), hk.tune.Ending((2,), 3, 4)
    >>> twice = hk.tune.Repeat(0, 4, 2, endings)
    >>> signs = hk.tune.Mark("fine", 0), hk.tune.Mark("D.C. al fine", 4)
    >>> form = hk.tune.Form((hk.tune.Span("A", 0, 5),), (twice,), signs)
    >>> [turn.bar for turn in form.turns]
    [0, 1, 2, 0, 1, 3, 4, 0]
    """

    order: tuple[Span, ...]
    repeats: tuple[Repeat, ...] = ()
    marks: tuple[Mark, ...] = ()
    pickup: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        reached = 0
        for repeat in self.repeats:
            if not reached <= repeat.first < repeat.stop or not 1 <= repeat.times:
                raise TuneError(f"a repeat of bars {repeat.first} to {repeat.stop}")
            reached = repeat.stop
            if any(not repeat.first <= e.first < e.stop <= repeat.stop for e in repeat.endings):
                raise TuneError("an ending is outside its repeat")
        if unknown := [mark.sign for mark in self.marks if mark.sign not in SIGNS]:
            raise TuneError(f"a sign {unknown[0]!r}", rule=", ".join(SIGNS))

    @classmethod
    def of(cls, sections: Sequence[Section], order: Iterable[str] = ()) -> Form:
        """Return the form that is written into sections, played in an order of their names.

        Parameters
        ----------
        sections : sequence of Section
        order : iterable of str

        Returns
        -------
        Form
        """
        spans: dict[str, Span] = {}
        repeats: list[Repeat] = []
        marks: list[Mark] = []
        first = 0
        for section in sections:
            silent = section.name == PICKUP and not section.bars[0].changes
            stop = first + len(section.bars)
            spans[section.name] = Span(section.name, first, stop, silent)
            repeats += _repeats_of(section.bars, first)
            for index, bar in enumerate(section.bars, first):
                marks += (Mark(sign, index, _room(bar)) for sign in bar.signs)
            first = stop
        named = tuple(spans[name] for name in order) or tuple(spans.values())
        opening = next(s.bars[0] for s in sections if s.name == named[0].name)
        pickup = opening.length if _room(opening) > 0 else Fraction(0)
        return cls(named, tuple(repeats), tuple(marks), pickup)

    @property
    def turns(self) -> tuple[Turn, ...]:
        """The written bars in playing order.

        Raises
        ------
        TuneError
            If there are more of them than anybody plays.
        """
        return tuple(_Walk(self).turns())


def _room(bar: Bar) -> Fraction:
    return max(bar_length(bar.meter) - bar.length, Fraction(0))


def _repeats_of(bars: Sequence[Bar], base: int) -> Iterator[Repeat]:
    """Yield the repeats of a section whose first bar has a place in the tune."""
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
            yield Repeat(base + start, base + stop, times, endings)
            start = index = stop
            continue
        index += 1
        if bar.closes:
            yield Repeat(base + start, base + index, bar.closes)
            start = index


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
    >>> from harmonykit.tune.bar import Bar
    >>> plain = Bar(0, (4, 4), Fraction(4))
    >>> row = [plain, Bar(0, (4, 4), Fraction(4), ending=(1, 2), closes=2)]
    >>> [[(one.numbers, one.first) for one in found] for found in endings_side_by_side(row)]
    [[((1, 2), 1)]]
    """
    for repeat in _repeats_of(bars, 0):
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
                return ending.first, f"ending {_said(ending)} serves pass {min(again)} again"
            taken |= set(ending.numbers)
        for ending in endings:
            due = next(n for n in range(1, max(taken) + 2) if n not in taken)
            if due < max(ending.numbers):
                return ending.first, f"ending {_said(ending)} stands where [{due} is due"
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


class _Walk:
    """A player's way through the bars of a form."""

    def __init__(self, form: Form) -> None:
        self.form = form
        self.stations = [
            (part, bar)
            for part, span in enumerate(form.order)
            for bar in range(span.first, span.stop)
        ]
        self.repeat = {b: r for r in form.repeats for b in range(r.first, r.stop)}
        self.signs: dict[int, dict[str, Mark]] = {}
        for mark in form.marks:
            self.signs.setdefault(mark.bar, {})[mark.sign] = mark
        # After a jump repeats are not taken, and some signs are minded.
        self.repeats, self.minded = True, tuple[str, ...]()
        # The repeat that the player is in, at which place of the order, and in which pass.
        self.inside: tuple[int, Repeat | None] = (-1, None)
        self.time = 1

    def turns(self) -> Iterator[Turn]:
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
        opening = self.form.order[0]
        if opening.silent:
            return opening.stop - opening.first
        return int(len(self.stations) > 1 and self.form.pickup > jump.room)

    def _segno(self, here: int) -> int:
        places = self._places("segno")
        return max((n for n in places if n <= here), default=next(iter(places), here + 1))

    def _go_to_coda(self, here: int) -> int:
        self.repeats, self.minded, self.inside = True, (), (-1, None)
        return next((n for n in self._places("coda") if n > here), len(self.stations))

    def _places(self, sign: str) -> list[int]:
        return [n for n, (_, bar) in enumerate(self.stations) if sign in self.signs.get(bar, {})]


def count_bars(bars: Sequence[Bar]) -> tuple[int | None, ...]:
    """Return which bar each written one is, from 0; none for a pick-up or what completes a bar.

    Examples
    --------
    >>> lengths = 1, 4, 3, 1, 4
    >>> count_bars([Bar(0, (4, 4), Fraction(length)) for length in lengths])
    (None, 0, 1, None, 2)
    """
    found: list[int | None] = []
    number, room = -1, Fraction(0)
    for index, bar in enumerate(bars):
        missing = _room(bar)
        completes = missing > 0 and bar.length <= room
        if completes or (missing > 0 and not index):
            room -= bar.length if completes else 0
            found.append(None)
            continue
        number, room = number + 1, missing
        found.append(number)
    return tuple(found)


def phrases_fault(section: Section) -> str:
    """Return what is wrong with the phrases that are set for a section, or nothing."""
    if not section.phrases:
        return ""
    if min(section.phrases) < 1:
        return f"a phrase of {min(section.phrases)} bars in section {section.name!r}"
    count = sum(number is not None for number in count_bars(section.bars))
    if sum(section.phrases) != count:
        set_for = f"phrases of {sum(section.phrases)} bars in all"
        return f"{set_for}, and section {section.name!r} has {count}"
    return ""


def signs_fault(bars: Sequence[Bar]) -> tuple[str, str] | None:
    """Return the first sign that leads nowhere in bars in the form's order, and what is wrong."""
    here = {sign for bar in bars for sign in bar.signs}
    for bar in bars:
        for sign in bar.signs:
            missing = next((need for need in _NEEDS.get(sign, ()) if need not in here), None)
            if missing:
                return sign, f"{sign} without {_ARTICLES[missing]}"
    return None


_NEEDS = {
    "D.C. al fine": ("fine",),
    "D.S.": ("segno",),
    "D.S. al fine": ("segno", "fine"),
    "D.C. al coda": ("to coda", "coda"),
    "D.S. al coda": ("segno", "to coda", "coda"),
    "to coda": ("coda",),
}
_ARTICLES = {
    "fine": "a fine", "segno": "a segno", "to coda": "a 'to coda'", "coda": "a coda",
}  # fmt: skip
