"""What ``harmonykit compare`` shows: arrangements of one tune, side by side, by numbers."""

from __future__ import annotations

import difflib
import textwrap
from collections.abc import Generator, Iterable, Iterator
from typing import TYPE_CHECKING

from harmonykit.about.text import WIDTH, printed
from harmonykit.arrange import functions, measures, offering, search, styles, told_changes, wishes
from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.block.melody import OnTop, melody_on_top
from harmonykit.arrange.moves import MOVES
from harmonykit.cli.asked import Asked
from harmonykit.cli.chart import chart_lines
from harmonykit.cli.told import (
    about_block_chords,
    choice_lines,
    number_lines,
    place_lines,
    taken_lines,
)
from harmonykit.errors import HarmonyError
from harmonykit.files.table import frame_text
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.analysis.function import said_framing
from harmonykit.tune.bar import beat_length, beats_a_minute
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted

if TYPE_CHECKING:
    import pandas as pd

AS_WRITTEN = "as written"
_ALL = "all moves, {}"
BY_STYLE = tuple(_ALL.format(style) for style in styles.STYLES)
"""The best with all moves in each style."""


def ways(tune: Tune, instrument: Instrument, asked: Asked | None = None) -> Iterator[Arrangement]:
    """Yield the tune as written, with each move alone, and with all of them in each style.

    A move that finds no place in the tune is left out.

    Raises
    ------
    HarmonyError
        If a chord of the tune has no shape that a hand can hold on the instrument.
    """
    asked = asked or Asked()
    moves = (*asked.allowed(MOVES), *asked.own_names)
    yield _written(tune, instrument)
    for move in moves:
        way = asked.found(tune, instrument, (move,), move, full=True)
        if way.added:
            yield way
    for style in [asked.style] if asked.style else styles.STYLES:
        yield asked.found(tune, instrument, moves, _ALL.format(style), style=style)


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Ways to play one tune, the first as it is written, and their numbers.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    ways : tuple of Arrangement
    block : OnTop, optional
        A chord melody that was asked for.
    same : tuple of (str, int)
        Names of those that are played as another, and its place, from 1.
    asked : Asked
    """

    tune: Tune
    instrument: Instrument
    ways: tuple[Arrangement, ...]
    block: OnTop | None = None
    same: tuple[tuple[str, int], ...] = ()
    asked: Asked = Asked()

    @property
    def table(self) -> pd.DataFrame:
        """A row an arrangement, a column a measure."""
        return measures.compare(self.ways)

    @property
    def numbers(self) -> str:
        """What the command prints below each arrangement's chords: which there are not, numbers."""
        lines = [*self._not_listed(), *number_lines(self.ways)]
        if self.block is not None:
            lines += ["", *about_block_chords(self.block)]
        if self.ways[0].name == offering.OFFERS[0]:
            lines += ["", "--all compares each move alone, and all moves in every style."]
        name = self.ways[-1].name
        lines += ["", f'--take "{name}" shows it alone, with reasons; --out FILE writes it.']
        return "\n".join(lines)

    def _not_listed(self) -> Iterator[str]:
        for name, place in self.same:
            yield from textwrap.wrap(f"    {name}: the same as {place}", WIDTH)
        names = [*(way.name for way in self.ways), *(name for name, _ in self.same)]
        # Arrangements that are offered by kind have no row a move.
        absent = [move for move in self.asked.allowed(MOVES) if move not in names]
        if absent and any(move in names for move in MOVES):
            yield from textwrap.wrap(f"No place for {', '.join(absent)}.", WIDTH)

    @property
    def csv(self) -> str:
        """The table as CSV, with the numerals of each arrangement bar by bar."""
        return frame_text(self.table.assign(numerals=[*map(functions.numerals_by_bar, self.ways)]))

    def place_of(self, wanted: str) -> int:
        """Return the place, from 1, of one of the ways by its number or its name.

        Raises
        ------
        HarmonyError
            If there is no such way.
        """
        if wanted.isdecimal():
            if not 1 <= int(wanted) <= len(self.ways):
                what = f"--take {wanted}: there are {len(self.ways)} arrangements"
                raise HarmonyError(what, rule=f"a number from 1 to {len(self.ways)}, or a name")
            return int(wanted)
        places = {way.name: place for place, way in enumerate(self.ways, 1)} | dict(self.same)
        name = named(wanted, places)
        if not name:
            known = "; ".join(way.name for way in self.ways)
            what = f"--take {wanted}: no arrangement has this name"
            by_word = {name.rpartition(", ")[2]: name for name in places}
            near = difflib.get_close_matches(wanted.casefold(), by_word, n=1)
            first = next((name for name in places if wanted.casefold() in name.casefold()), "")
            first = first or (by_word[near[0]] if near else "1")
            raise HarmonyError(what, rule=f"the arrangements are {known}", mend=f'--take "{first}"')
        return places[name]

    def taken(self, wanted: str) -> Taken:
        """Return one of the ways by its number or its name, with what is refused and chosen."""
        place = self.place_of(wanted)
        ways = self.asked.placed(self.ways[place - 1])
        return Taken(self.tune, self.instrument, self.ways[0], ways, place, self.asked.chosen)


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """One arrangement that is taken, beside the tune as written; one more after each choice."""

    tune: Tune
    instrument: Instrument
    written: Arrangement
    ways: tuple[Arrangement, ...]
    place: int
    chosen: tuple[tuple[str, str], ...] = ()

    @property
    def way(self) -> Arrangement:
        """The arrangement, with all that was chosen."""
        return self.ways[-1]

    def told(self, at: str = "") -> str:
        """Return its chart with numerals, what it changes and why, and its numbers.

        With a place, as ``places_at`` reads it, what could stand there follows.
        """
        lines = [*_heading(self.tune, self.instrument), *taken_lines(self.way)]
        if offering.heard(self.way.steps) == offering.heard(self.written.steps):
            lines += ["", "It is the tune as written.", *number_lines([self.way])]
        elif self.place > 1:
            lines += ["", f"By numbers: 1 {self.written.name}, 2 {self.way.name}"]
            lines += [*number_lines([self.written, self.way])][1:]
        else:
            lines += number_lines([self.way])
        if self.chosen:
            lines += ["", *choice_lines(self.ways, self.chosen)]
        if at:
            lines += ["", *place_lines(self.way, at)]
        return "\n".join(lines)


def named(wanted: str, names: Iterable[str]) -> str:
    """Return the one of some names that is meant: whole, a style's, or by how it begins.

    Examples
    --------
    >>> named("Rich", ["as written", "all moves, rich"]), named("as", ["as written"])
    ('all moves, rich', 'as written')
    >>> named("walk", ["as written", "ascending walk", "all moves, walking"])
    'all moves, walking'
    >>> named("all", ["all moves, rich", "all moves, smooth"])
    ''
    """
    names, folded = list(names), wanted.casefold().strip()
    for meant in (folded, _ALL.format(folded)):
        if found := [name for name in names if name.casefold() == meant]:
            return found[0]
    for start in (folded, _ALL.format(folded)):
        begun = [name for name in names if folded and name.casefold().startswith(start)]
        if len(begun) == 1:
            return begun[0]
    return ""


def compare_tune(
    tune: Tune,
    instrument: Instrument,
    asked: Asked | None = None,
    *,
    block_chords: bool = False,
    by_kind: bool = False,
) -> Comparison:
    """Return a tune's ways with what is asked for, on request with a chord melody.

    By kind they are those that are offered (``arrange.offering``).  Those that are played as one
    before are left out and named.
    """
    telling = told_as_found(tune, instrument, asked, block_chords=block_chords, by_kind=by_kind)
    while True:
        try:
            next(telling)
        except StopIteration as ended:
            found: Comparison = ended.value
            return found


def told_as_found(
    tune: Tune,
    instrument: Instrument,
    asked: Asked | None = None,
    *,
    block_chords: bool = False,
    by_kind: bool = False,
) -> Generator[str, None, Comparison]:
    """Yield the chart and each arrangement's chords as soon as it is found; return all of them.

    The first stands after one search of many, so that whoever waits has something to read.
    """
    asked = asked or Asked()
    block = melody_on_top(tune, instrument, name=offering.MELODY) if block_chords else None
    kept: list[Arrangement] = []
    same: list[tuple[str, int]] = []
    for way in _found(tune, instrument, asked, block, by_kind=by_kind):
        alike = next(
            (
                n
                for n, one in enumerate(kept, 1)
                if offering.heard(one.steps) == offering.heard(way.steps)
            ),
            0,
        )
        if alike:
            same.append((way.name, alike))
            continue
        kept.append(way)
        head = [] if len(kept) > 1 else [*_heading(tune, instrument), *_chart(tune, way), ""]
        yield "\n".join([*head, *_legend(len(kept), way)])
    return Comparison(tune, instrument, tuple(kept), block, tuple(same), asked)


def _found(
    tune: Tune, instrument: Instrument, asked: Asked, block: OnTop | None, *, by_kind: bool
) -> Iterator[Arrangement]:
    """Yield the ways, a chord melody that was asked for at the end."""
    found = ways(tune, instrument, asked)
    if by_kind:
        found = (_as_offered(o.arrangement, asked) for o in offering.each_offer(tune, instrument))
    yield from found if block is None else (way for way in found if way.name != offering.MELODY)
    if block is not None:
        yield block.arrangement


def _chart(tune: Tune, way: Arrangement) -> Iterator[str]:
    return chart_lines(way, f"What its chords do in {tune.key.unicode}")


def _as_offered(way: Arrangement, asked: Asked) -> Arrangement:
    """Return what is offered with what is asked for; plain and chord melody stay as they are."""
    stays = way.name in (offering.OFFERS[0], offering.MELODY)
    return way if stays else asked.again(way)


def take_one(
    tune: Tune, instrument: Instrument, asked: Asked, wanted: str, *, by_kind: bool
) -> Taken | None:
    """Return one arrangement by its name without seeking the others; ``None`` for a number.

    By kind it is sought among what is offered first, else among moves and styles.
    """
    if wanted.isdecimal():
        return None
    written = _written(tune, instrument)
    kinds = (_offered, _of_moves) if by_kind else (_of_moves, _offered)
    way = kinds[0](written, asked, wanted) or kinds[1](written, asked, wanted)
    if way is None:
        return None
    place = 1 if way is written else 2
    return Taken(tune, instrument, written, asked.placed(way), place, asked.chosen)


def _offered(written: Arrangement, asked: Asked, wanted: str) -> Arrangement | None:
    """Return what is offered by a name, if the tune has it."""
    name = named(wanted, offering.OFFERS)
    found = offering.offers(written.tune, written.instrument, [name]) if name else ()
    return _as_offered(found[0].arrangement, asked) if found else None


def _of_moves(written: Arrangement, asked: Asked, wanted: str) -> Arrangement | None:
    """Return the tune as written, or with a move, or with all in a style, by its name."""
    moves = (*asked.allowed(MOVES), *asked.own_names)
    name = named(wanted, (AS_WRITTEN, *moves, *BY_STYLE))
    tune, instrument = written.tune, written.instrument
    if not name or name == AS_WRITTEN:
        return written if name else None
    if name in moves:
        return asked.found(tune, instrument, (name,), name, full=True)
    style = name.removeprefix(_ALL.format(""))
    return asked.found(tune, instrument, moves, name, style=style)


def _written(tune: Tune, instrument: Instrument) -> Arrangement:
    asked = wishes.Wishes(name=AS_WRITTEN)
    return search.reharmonise(tune, instrument, (), k=1, wishes=asked)[0]


def _heading(tune: Tune, instrument: Instrument) -> Iterator[str]:
    title = f"{tune.title} on the {instrument.name}, {printed(instrument.tuning)}; "
    pace = f"{beats_a_minute(tune.tempo, tune.meter):g} beats a minute"
    pace += f" ({tune.tempo:g} quarter notes)" if beat_length(tune.meter) != 1 else ""
    bars = counted(tune.bar_count - sum(tune.framing), "bar")
    framing = f", {said}" if (said := said_framing(tune)) else ""
    yield from textwrap.wrap(f"{title}{bars}{framing}, {pace}", WIDTH)
    for doubt in tune.doubts:
        yield from textwrap.wrap(f"doubt: {doubt}", WIDTH, subsequent_indent="  ")
    yield ""


def _legend(place: int, way: Arrangement) -> list[str]:
    """Return the way's number and name, and which chords it puts in on which beats."""
    chords = told_changes.added_said(way)
    text = f"{way.name}: {chords}" if chords else way.name
    return textwrap.wrap(text, WIDTH, initial_indent=f"{place:2}  ", subsequent_indent="      ")
