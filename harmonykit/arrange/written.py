"""An arrangement as it is written: each bar once with its number, repeats and endings as signs.

Conventions.  Where every bar of the tune is played alike each time, the sections stand in playing
order with the tune's own repeats, endings and jumps, and each written bar has one number.  Else,
and where the tune has no signs, all is written out in playing order.  A pick-up is bar 0; a short
bar that completes the one before it bears that bar's number.  Under a pick-up without a chord the
chord before rings on, another at the start than when it is played again: it is no reason to write
a repeat out.
"""

from collections.abc import Iterator, Sequence

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.tune import form, order
from harmonykit.tune.bar import bar_length
from harmonykit.tune.tune import Bar, Tune, number_sections
from harmonykit.values import dataclass, replace


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
    return not otherwise_again(way)


def counted_otherwise(way: Arrangement) -> str:
    """Return how a score counts the bars where it has other numbers than the tune, else nothing.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> plain = reharmonise("|: C6 | F6 |1 G7 :|2 C6 |", "ukulele", (), k=1)[0]
    >>> counted_otherwise(plain)
    ''
    """
    pairs = zip(way.tune.playing, printed_numbers(way), strict=True)
    found = [(played.bar.number, number) for played, (number, _) in pairs]
    first = dict(reversed(found))
    others = [(own, number) for own, number in first.items() if own != number]
    others = sorted(others) or [(own, number) for own, number in found if own != number]
    if not others:
        return ""
    (own, number), most = others[0], max(number for _, number in found)
    return f"its bars are counted from 1 to {most}: bar {number} there is bar {own} of the tune"


def otherwise_again(way: Arrangement) -> tuple[int, ...]:
    """Return the numbers of the written bars that are not played alike each time, in order.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> otherwise_again(reharmonise("|: C6 | F6 :|", "ukulele", (), k=1)[0])
    ()
    """
    rung, sounds = ringing_upbeats(way), [*bar_sounds(way)]
    found = {
        way.tune.playing[index].bar.number
        for places in times_of(way.tune).values()
        for index in places
        if sounds[index] != sounds[places[0]] and index not in rung
    }
    return tuple(sorted(found))


def times_of(tune: Tune) -> dict[tuple[int, int], list[int]]:
    """Return where each written bar stands among all bars played, by part and place."""
    found: dict[tuple[int, int], list[int]] = {}
    for index, turn in enumerate(tune.form.turns):
        found.setdefault((turn.part, turn.bar), []).append(index)
    return found


def bar_sounds(way: Arrangement, *, shapes: bool = True) -> Iterator[object]:
    """Yield what is played in each bar, counted from its start, in its ``shapes`` or in any.

    A melody note alone sounds the same over any chord that lasts.
    """
    for played, steps in zip(way.tune.playing, way.bars(), strict=True):
        row = [(None if one.alone else one.chord, one.voicing, one) for one in steps]
        yield [
            (chord, held if shapes else held is None, one.onset - played.onset, one.beats)
            for chord, held, one in row
        ]


def ringing_upbeats(way: Arrangement) -> frozenset[int]:
    """Return the pick-ups under which only the chord before rings on, and not the same each time.

    They have no chord of their own; at the start of the tune nothing sounds.  Each is named by its
    places among all bars played.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> from harmonykit.tune.tune import Tune
    >>> tune = Tune.parse("|: {1 quarter} - | C6 | {3 quarters} F6 :|")
    >>> sorted(ringing_upbeats(reharmonise(tune, "ukulele", (), k=1)[0]))
    [0, 3]
    """
    bars, playing, sounds = way.bars(), way.tune.playing, [*bar_sounds(way)]
    return frozenset(
        index
        for places in times_of(way.tune).values()
        if is_bare_upbeat(playing[places[0]].bar)
        and any(sounds[place] != sounds[places[0]] for place in places)
        and all(_rings_on(bars, place) for place in places)
        for index in places
    )


def is_bare_upbeat(bar: Bar) -> bool:
    """Return whether a bar is shorter than its metre and has no chord of its own.

    Examples
    --------
    >>> [is_bare_upbeat(bar) for bar in Tune.parse("| {1 quarter} - | C6 | - |").bars]
    [True, False, False]
    """
    return bar.length < bar_length(bar.meter) and not bar.changes


def _rings_on(bars: Sequence[Sequence[Step]], place: int) -> bool:
    """Return whether a bar has only the chord at the end of the bar before, or silence."""
    held = bars[place - 1][-1].chord if place else None
    return all(step.chord == held and not step.added for step in bars[place])


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
    times = times_of(way.tune)
    for place, bar in written_places(way.tune):
        if place in times:
            yield replace(bar, index=times[place][0])


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
