"""The form of a tune: its sections with their repeats and signs, and what is played.

A form counts written bars from 0, section after section as they are written; a span of them runs
from ``first`` up to, but not with, ``stop``.  What is played follows from it by the rules of
``order``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from harmonykit.tune.bar import SIGNS, Bar, TuneError, bar_length
from harmonykit.tune.order import Mark, Player, Repeat, Span, Turn, repeats_of
from harmonykit.values import dataclass

PICKUP = "pick-up"
INTRO, TAG = "intro", "tag"
"""The names of the sections that are added before a tune and after it."""


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
            if wrong := _wrong(repeat, reached):
                said = f"the repeat of bars {repeat.first + 1} to {repeat.stop}"
                raise TuneError(f"{said} {wrong}")
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

        Examples
        --------
        >>> tune = hk.Tune.parse("[A]\\n| C6 | G7 |\\n[B]\\n| F6 | C6 |")
        >>> [span.name for span in hk.tune.Form.of(tune.sections, ["A", "B", "A"]).order]
        ['A', 'B', 'A']
        """
        spans: dict[str, Span] = {}
        repeats: list[Repeat] = []
        marks: list[Mark] = []
        first = 0
        for section in sections:
            silent = section.name == PICKUP and not section.bars[0].changes
            stop = first + len(section.bars)
            spans[section.name] = Span(section.name, first, stop, silent)
            repeats += repeats_of(section.bars, first)
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
        return tuple(Player(self.order, self.repeats, self.marks, self.pickup).turns())


def _wrong(repeat: Repeat, reached: int) -> str:
    """Return what is wrong with a repeat after the bars that others repeat; empty if nothing."""
    if repeat.times < 1:
        return "is played 0 times"
    if repeat.stop <= repeat.first:
        return "ends before it starts"
    if repeat.first < 0:
        return "starts before the tune"
    return "overlaps the one before" if repeat.first < reached else ""


def _room(bar: Bar) -> Fraction:
    return max(bar_length(bar.meter) - bar.length, Fraction(0))


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
        set_for = f"the phrases add up to {sum(section.phrases)} bars"
        return f"{set_for}, but section {section.name!r} has {count}"
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
