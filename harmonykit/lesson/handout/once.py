"""Sections that come back the same, printed once: with repeat signs and D.C., or by their letters.

Conventions.  A bar that stands for several has all their numbers, so that sheet, script, score and
page count alike.  Where signs can say the order of play they do, by the rules of ``jumps``; else
the order of the letters over the chart does (common practice of lead sheets, no source).  A section
that comes back with another end has its ends in brackets, each with the times at which it is taken;
one that comes otherwise is printed again, with a stroke behind its letter.
Under each passage stand the verses that are sung to it, in the order in which they are sung.
"""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import folded_score, to_musicxml
from harmonykit.arrange.written import WrittenBar, bar_sounds, in_signs, times_of, written_bars
from harmonykit.lesson.handout import jumps
from harmonykit.lesson.handout.endings import families, turning_bars
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.tune.tune import PICKUP, Bar, PlayedBar, Section, TuneError
from harmonykit.tune.words import in_verses
from harmonykit.values import dataclass, field, replace

_LETTER = 2


@dataclass(frozen=True, slots=True)
class Once:
    """The bars of a chart, each section that comes back the same among them once.

    Bars are named by their places among all bars played.

    Parameters
    ----------
    bars : tuple of WrittenBar
    numbers : dict of int to tuple of int
        The printed numbers of a bar that stands for several.
    labels : dict of int to str
        The names of sections at their first bars, where they are not the tune's own.
    order : tuple of str
        The sections in playing order; empty where each is printed as often as it is played.
    opens, closes : dict of int to int
        Bars at which a repeated section begins and ends, and how often it is played.
    ends : int
        The bar that ends the piece, where that is not the last; else -1.
    stands : dict of int to int
        For each bar that is not printed itself the bar that stands for it.
    verses : dict of int to tuple of int
        For each bar whose words change from verse to verse the number of each line under it.
    """

    bars: tuple[WrittenBar, ...]
    numbers: dict[int, tuple[int, ...]] = field(default_factory=dict)
    labels: dict[int, str] = field(default_factory=dict)
    order: tuple[str, ...] = ()
    opens: dict[int, int] = field(default_factory=dict)
    closes: dict[int, int] = field(default_factory=dict)
    ends: int = -1
    stands: dict[int, int] = field(default_factory=dict)
    verses: dict[int, tuple[int, ...]] = field(default_factory=dict)

    @property
    def jumps(self) -> bool:
        """Whether a D.C. or a D.S. stands at one of the bars."""
        return any(bar.bar.jump for bar in self.bars)

    def places(self, way: Arrangement) -> tuple[int, ...]:
        """Return for each bar played its place among the printed bars."""
        turns = way.tune.form.turns
        times = times_of(way.tune) if in_signs(way) else {}
        rank = {bar.index: place for place, bar in enumerate(self.bars)}
        written = (times.get((turn.part, turn.bar), [n])[0] for n, turn in enumerate(turns))
        return tuple(rank[self.stands.get(index, index)] for index in written)


def print_once(way: Arrangement, bars: Sequence[WrittenBar]) -> Once:
    """Return the bars of a level as they are printed, those that come back the same once.

    Each has the words that are sung to it, as lines from 1.
    """
    return _with_words(way, _folded(way, bars))


def _folded(way: Arrangement, bars: Sequence[WrittenBar]) -> Once:
    """Return the bars as they are printed, with the words of their first time."""
    plain = Once(tuple(bars))
    runs = _runs(bars)
    if way.choruses or any(bar.bar.jump or bar.bar.signs for bar in bars):
        return plain
    found = families(_contents(way, runs))
    if len(found) == len(runs):
        return plain
    of = {place: n for n, family in enumerate(found) for place in family.members}
    order = [of[place] for place in range(len(runs))]
    called = [runs[family.members[0]][0].section for family in found]
    # What is printed with repeats of its own has its signs already.
    own_signs = any(bar.bar.opens or bar.bar.closes for bar in bars)
    route = None if own_signs else jumps.route(order, found, called)
    kept = [family.bars(runs) for family in (route.views(found) if route else found)]
    own = route.last if route and route.own else -1
    numbers: dict[int, list[int]] = {}
    stands: dict[int, int] = {}
    for family in found:
        for place, end in zip(family.members, family.ends, strict=True):
            tail = runs[place if place == own else end][family.shared :]
            first = [*runs[family.members[0]][: family.shared], *tail]
            for home, bar in zip(first, runs[place], strict=True):
                numbers.setdefault(home.index, []).append(bar.number)
                stands[bar.index] = home.index
    names = _names(kept)
    straight = len(route.straight) if route else len(kept)
    coda = [*runs[own][found[of[own]].shared :]] if own >= 0 else []
    coda += [bar for each in kept[straight:] for bar in each]
    bars = [*(bar for each in kept[:straight] for bar in each), *coda]
    ends = stands[runs[-1][-1].index]
    once = Once(
        tuple(bars),
        {index: tuple(each) for index, each in numbers.items() if len(each) > 1},
        {each[0].index: name for each, name in zip(kept, names, strict=True)},
        tuple(names[n] for n in order if kept[n][0].section != PICKUP),
        ends=-1 if ends == bars[-1].index else ends,
        stands=stands,
    )
    if route is None:
        return once
    shared = len(runs[route.last]) if own < 0 else found[of[own]].shared
    leaves = stands[runs[route.last][shared - 1].index]
    told = route.signs(kept, leaves, coda[0].index if coda else -1)
    return _signed(once, route, kept, told)


def _signed(
    once: Once,
    route: jumps.Route,
    kept: Sequence[Sequence[WrittenBar]],
    told: Iterable[tuple[int, str]],
) -> Once:
    """Return the bars with repeat signs, and with the signs told of them."""
    signs: dict[int, tuple[str, ...]] = {}
    for index, sign in told:
        signs[index] = (*signs.get(index, ()), sign)
    groups = [(kept[n], times) for n, times in (*route.straight, *route.coda) if times > 1]
    return replace(
        once,
        bars=tuple(
            replace(bar, bar=replace(bar.bar, signs=signs.get(bar.index, ()))) for bar in once.bars
        ),
        opens={each[0].index: times for each, times in groups},
        closes={bar.index: times for each, times in groups for bar in turning_bars(each)},
        ends=once.ends if route.jump else -1,
    )


def with_signs(way: Arrangement, once: Once | None = None) -> Arrangement | None:
    """Return a level whose tune has the signs that the sheet prints, where letters had none.

    ``None`` where the sheet needs none, or where the letters alone say the order: no sign does.

    Parameters
    ----------
    way : Arrangement
    once : Once, optional
        What ``print_once`` gives of it, where that is there already.

    Examples
    --------
    >>> from harmonykit.arrange.passes import alike_each_time
    >>> from harmonykit.arrange.search import reharmonise
    >>> ferry = alike_each_time(reharmonise("lantern_ferry", "ukulele", (), k=1)[0])[0]
    >>> signed = with_signs(ferry)
    >>> signed and [bar.number for bar in signed.tune.bars if bar.opens or bar.signs]
    [1, 8, 16]
    """
    once = once or print_once(way, written_bars(way))
    if in_signs(way) or not (once.closes or once.jumps):
        return None
    bars = [replace(bar.bar, **_signs_at(once, bar.index)) for bar in once.bars]
    return _in_sections(way, _sections(once, bars))


def _sections(once: Once, bars: Sequence[Bar]) -> list[Section]:
    """Return printed bars, or the first of them, in the sections that they are in."""
    starts = [n for n in range(len(bars)) if once.bars[n].opens or not n]
    spans = zip(starts, [*starts[1:], len(bars)], strict=True)
    return [
        Section(once.labels.get(once.bars[a].index, once.bars[a].section), tuple(bars[a:b]))
        for a, b in spans
    ]


def _in_sections(way: Arrangement, sections: Sequence[Section]) -> Arrangement | None:
    """Return a level whose tune has other sections and sounds the same; ``None`` if it does not."""
    try:
        signed = replace(way.tune, sections=tuple(sections), order=())
    except TuneError:
        return None
    if [*map(_heard, signed.playing)] != [*map(_heard, way.tune.playing)]:
        return None
    return replace(way, tune=signed)


def _without_jump(way: Arrangement, once: Once) -> tuple[Arrangement, list[int]] | None:
    """Return a level as its sheet prints it up to the jump, and what follows that written out.

    With the number of each bar.  ``None`` where no ending stands beside a jump: programs play
    these alike.
    """
    if in_signs(way) or not once.jumps or not any(bar.bar.ending for bar in once.bars):
        return None
    straight = once.bars[: 1 + next(n for n, bar in enumerate(once.bars) if bar.bar.jump)]
    bars, times = list[Bar](), 0
    for bar in straight:
        times = once.opens.get(bar.index, times)
        ending = tuple(n for n in bar.bar.ending if n <= times)
        bars.append(replace(bar.bar, **_signs_at(once, bar.index), ending=ending, signs=()))
    places = once.places(way)
    turned = len(places) - places[::-1].index(len(straight) - 1)
    played = way.tune.playing[turned:]
    plain: dict[str, Any] = {"opens": False, "closes": 0, "ending": (), "signs": ()}
    rest = tuple(replace(one.as_sung, **plain) for one in played)
    sections = [*_sections(once, bars), Section(f"{played[0].section} 2", rest)]
    found = _in_sections(way, sections)
    numbers = [*(bar.number for bar in straight), *range(turned + 1, len(places) + 1)]
    return (found, numbers) if found else None


def score_text(way: Arrangement, title: str) -> str:
    """Return a level as MusicXML with the signs and the numbers of its sheet.

    Where no sign says the order of its sections it is written out in playing order; and so is what
    is played after a D.C. or D.S. where there are endings, which programs take in several ways.
    """
    once = print_once(way, written_bars(way))
    straight = _without_jump(way, once)
    signed, numbers = straight or (with_signs(way, once), [bar.number for bar in once.bars])
    score = folded_score(signed) if signed else None
    if score is None:
        return to_musicxml(way, title=title)
    measures = tuple(
        replace(measure, number=number)
        for measure, number in zip(score.measures, numbers, strict=True)
    )
    return write_musicxml(replace(score, title=title, measures=measures))


def _heard(played: PlayedBar) -> tuple[Bar, Fraction]:
    """Return what is heard in a bar and sung to it, wherever it is written."""
    return replace(played.as_sung, number=0), played.onset


def _signs_at(once: Once, index: int) -> dict[str, Any]:
    """Return the repeats that are printed at a bar."""
    return {"opens": index in once.opens, "closes": once.closes.get(index, 0)}


def _runs(bars: Sequence[WrittenBar]) -> list[list[WrittenBar]]:
    """Return the bars of each section as it comes; a coda is one of its own."""
    runs: list[list[WrittenBar]] = []
    for bar in bars:
        if bar.opens or "coda" in bar.bar.signs or not runs:
            runs.append([])
        runs[-1].append(bar)
    return runs


def _contents(
    way: Arrangement, runs: Sequence[Sequence[WrittenBar]]
) -> list[tuple[str, list[object]]]:
    """Return what each section has as it comes: its name, and what stands in its bars."""
    sounds = list(bar_sounds(way))
    return [
        (
            run[0].section,
            [(way.tune.playing[bar.index].bar, bar.begins, sounds[bar.index]) for bar in run],
        )
        for run in runs
    ]


def _names(kept: Sequence[Sequence[WrittenBar]]) -> list[str]:
    """Return what each printed section is called: one that comes otherwise has a stroke."""
    names = list[str]()
    count: dict[str, int] = {}
    for bars in kept:
        own = bars[0].section
        count[own] = count.get(own, 0) + 1
        more = count[own] - 1
        names.append(own + ("′" * more if len(own) <= _LETTER else f" {more + 1}" * (more > 0)))
    return names


def _with_words(way: Arrangement, once: Once) -> Once:
    """Return printed bars with the verses that are sung to them, and the numbers of their lines.

    Words that are the same for every verse stand in the first line and have no number.
    """
    playing = way.tune.playing
    if not any(played.bar.verses for played in playing):
        return once
    times: list[list[tuple[int, ...]]] = [[] for _ in once.bars]
    for played, place in zip(playing, once.places(way), strict=True):
        times[place].append(played.verses)
    found, numbers = list[WrittenBar](), dict[int, tuple[int, ...]]()
    for run in _runs(once.bars):
        sources = [playing[bar.index].bar for bar in run]
        here = times[len(found) : len(found) + len(run)]
        lines = _lines(run, sources, here)
        for bar, source, (told, sung) in zip(run, sources, lines, strict=True):
            several = len(source.verses) > 1
            if several:
                numbers[bar.index] = told
            own = tuple(verse if verse in sung else 0 for verse in told)
            own = own if several else tuple(source.verses)
            found.append(replace(bar, bar=_under(bar.bar, source, own)))
    return replace(once, bars=tuple(found), verses=numbers)


def _lines(
    run: Sequence[WrittenBar], sources: Sequence[Bar], times: Sequence[Sequence[tuple[int, ...]]]
) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Yield for each bar of a section the verses of its lines, and those that are sung to it.

    A first end stands in the row of what is before it and has the same lines; each other its own.
    """
    told = list(zip(run, sources, times, strict=True))
    ends = list(dict.fromkeys(bar.bar.ending for bar in run))

    def of(*endings: tuple[int, ...]) -> tuple[int, ...]:
        return _in_turn([
            sung for bar, source, sung in told
            if bar.bar.ending in endings and len(source.verses) > 1
        ])  # fmt: skip

    own = {end: of(end) for end in ends}
    first = of(*ends[:2])
    for bar in run:
        end = bar.bar.ending
        yield (first if end in ends[:2] else own[end]), (own[end] if end else first)


def _in_turn(bars: Sequence[Sequence[tuple[int, ...]]]) -> tuple[int, ...]:
    """Return verses in the order in which they are sung: round after round, time after time."""
    turns = {
        (round_, time, verse): verse
        for times in bars
        for time, sung in enumerate(times)
        for round_, verse in enumerate(sung)
    }
    return tuple(dict.fromkeys(turns[turn] for turn in sorted(turns)))


def _under(bar: Bar, source: Bar, verses: tuple[int, ...]) -> Bar:
    """Return a bar with some verses of the tune's own bar as its lines, from 1."""
    melody = tuple(replace(n, words=in_verses(n.words, verses)) for n in source.melody)
    whole = dict(enumerate(source.lyric, 1))
    lyric = tuple(whole.get(verse, "") for verse in verses) if source.lyric else ()
    return replace(bar, melody=melody, lyric=lyric)
