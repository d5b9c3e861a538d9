"""An arrangement as it is written: each bar once with its number, repeats and endings as signs.

Conventions.  Where every bar of the tune is played alike each time, the sections stand in playing
order with the tune's own repeats, endings and jumps, and each written bar has one number.  Else,
and where the tune has no signs, all is written out in playing order.  A pick-up is bar 0; a short
bar that completes the one before it bears that bar's number.
"""

from collections.abc import Iterator

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.tune import form, order
from harmonykit.tune.tune import Bar, Tune, number_sections
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """A bar as it stands on paper.

    Parameters
    ----------
    index : int
        The place among all bars played, from 0, at which it is played first.
    number : int
    begins : bool
        Whether it is the first to bear its number; a pick-up bears none.
    section : str
        The section that it stands in, with its manner where there are choruses.
    opens : bool
        Whether that section begins with it.
    bar : Bar
        With its signs; without any where all is written out.  With the words of all verses that
        are sung to it here.
    """

    index: int
    number: int
    begins: bool
    section: str
    opens: bool
    bar: Bar


def has_signs(tune: Tune) -> bool:
    """Return whether anything but the order of sections is played again."""
    return any(bar.opens or bar.closes or bar.ending or bar.jump for bar in tune.bars)


def in_signs(way: Arrangement) -> bool:
    """Return whether an arrangement is written with repeats: each bar is played alike each time.

    Examples
    --------
    >>> from harmonykit.arrange.passes import alike_each_time
    >>> from harmonykit.arrange.search import reharmonise
    >>> plain = reharmonise("|: C6 | F6 | G7 | C6 :|", "ukulele", (), k=1)[0]
    >>> in_signs(alike_each_time(plain)[0])
    True
    """
    if not has_signs(way.tune) or way.choruses:
        return False
    sounds: dict[tuple[int, int], object] = {}
    for turn, sound in zip(way.tune.form.turns, bar_sounds(way), strict=True):
        if sounds.setdefault((turn.part, turn.bar), sound) != sound:
            return False
    return True


def bar_sounds(way: Arrangement) -> Iterator[object]:
    """Yield what is played in each bar, counted from its start."""
    for played, steps in zip(way.tune.playing, way.bars(), strict=True):
        yield [(step.chord, step.voicing, step.onset - played.onset, step.beats) for step in steps]


def written_bars(way: Arrangement) -> tuple[WrittenBar, ...]:
    """Return the bars of an arrangement as they stand on paper.

    Examples
    --------
    >>> from harmonykit.arrange.passes import alike_each_time
    >>> from harmonykit.arrange.search import reharmonise
    >>> plain = reharmonise("|: C6 | F6 |1 G7 :|2 C6 |", "ukulele", (), k=1)[0]
    >>> [bar.number for bar in written_bars(alike_each_time(plain)[0])]
    [1, 2, 3, 4]
    """
    return tuple(_folded(way) if in_signs(way) else _in_full(way))


def printed_numbers(way: Arrangement) -> tuple[tuple[int, bool], ...]:
    """Return for each bar in playing order its number on paper, and whether it begins that bar.

    Examples
    --------
    >>> from harmonykit.arrange.passes import alike_each_time
    >>> from harmonykit.arrange.search import reharmonise
    >>> plain = reharmonise("|: C6 | F6 |1 G7 :|2 C6 |", "ukulele", (), k=1)[0]
    >>> [number for number, _ in printed_numbers(alike_each_time(plain)[0])]
    [1, 2, 3, 1, 2, 4]
    """
    return tune_numbers(way.tune) if in_signs(way) else way.tune.numbers


def tune_numbers(tune: Tune) -> tuple[tuple[int, bool], ...]:
    """Return the numbers of a tune's bars in playing order, as its own signs have them on paper.

    Examples
    --------
    >>> from harmonykit.tune.tune import Tune
    >>> [number for number, _ in tune_numbers(Tune.parse("|: C6 | F6 :| G7 |"))]
    [1, 2, 1, 2, 3]
    """
    if not has_signs(tune):
        return tune.numbers
    places = {place: (bar.number, bar.begins) for place, bar in written_places(tune)}
    return tuple(places[turn.part, turn.bar] for turn in tune.form.turns)


def _folded(way: Arrangement) -> Iterator[WrittenBar]:
    """Yield the written bars that are played, section after section in their order."""
    firsts = first_times(way)
    for place, bar in written_places(way.tune):
        if place in firsts:
            yield WrittenBar(
                firsts[place], bar.number, bar.begins, bar.section, bar.opens, bar.bar
            )  # fmt: skip


def first_times(way: Arrangement) -> dict[tuple[int, int], int]:
    """Return where each written bar is played first, among all bars played, by part and place."""
    firsts: dict[tuple[int, int], int] = {}
    for index, turn in enumerate(way.tune.form.turns):
        firsts.setdefault((turn.part, turn.bar), index)
    return firsts


def written_places(tune: Tune) -> Iterator[tuple[tuple[int, int], WrittenBar]]:
    """Yield each written bar under its part and its place among the bars of the tune."""
    spans = tune.form.order
    rows = [form.Section(str(part), tune.bars[s.first : s.stop]) for part, s in enumerate(spans)]
    before = 0
    for part, (span, row) in enumerate(zip(spans, number_sections(rows), strict=True)):
        for place, bar in enumerate(row.bars, span.first):
            begins = bar.number > before
            before = bar.number
            opens = place == span.first
            yield (part, place), WrittenBar(-1, bar.number, begins, span.name, opens, bar)


def _in_full(way: Arrangement) -> Iterator[WrittenBar]:
    tune = way.tune
    before: tuple[int, str] | None = None
    turns: tuple[order.Turn, ...] = tune.form.turns
    for index, (played, turn, (number, begins)) in enumerate(
        zip(tune.playing, turns, tune.numbers, strict=True)
    ):
        name = " · ".join(filter(None, (played.section, way.manner_at(index))))
        opens = (turn.part, name) != before
        before = turn.part, name
        yield WrittenBar(index, number, begins, name, opens, played.as_sung)
