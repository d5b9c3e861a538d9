"""A tune laid out in lines of a few bars, as music is: where a moment stands, and what is under it.

Conventions.  All bars are equally wide.  The first moment of a bar stands a little to the right of
its bar line, as the first note does.  Names stand in one row, or by turns in two where one has no
room for them; a line has as many bars as leave room for all names, eight at most.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from harmonykit.arrange import functions, movement
from harmonykit.arrange.arrangement import Arrangement, Step, is_foreign
from harmonykit.draw.base.canvas import NOTE_PT, SMALL_PT, Canvas
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, text_width
from harmonykit.errors import HarmonyError
from harmonykit.tune.playing import PlayedBar
from harmonykit.values import dataclass

NAME_MM = 4.3
"""From one row of names to the next."""
PAD_MM, HEAD_MM = 2.6, 2.0
# How far past the last bar line a name may reach: into the margin of the figure, not past it.
_PAST_MM = 1.0
_MOST_BARS, _GAP_MM, _UNDER_MM, _APART_MM = 8, 1.3, 0.9, 3.6
_ROWS = 2

Placed = tuple[float, str, bool]
"""Where a name begins, what it is, and whether the chord is added."""


@dataclass(frozen=True, slots=True)
class System:
    """A line of bars.

    Parameters
    ----------
    bars : tuple of PlayedBar
    first : int
        The index of the first of them in the tune as played.
    left, wide : float
        Where the first bar begins, and how wide each is, in mm.
    """

    bars: tuple[PlayedBar, ...]
    first: int
    left: float
    wide: float

    @property
    def start(self) -> Fraction:
        """The moment at which it begins."""
        return self.bars[0].onset

    @property
    def end(self) -> Fraction:
        """The moment at which it ends."""
        return self.bars[-1].onset + self.bars[-1].bar.length

    @property
    def right(self) -> float:
        """Where its last bar ends, in mm."""
        return self.left + self.wide * len(self.bars)

    def holds(self, moment: Fraction) -> bool:
        """Whether a moment is in it."""
        return self.start <= moment < self.end

    def at(self, moment: Fraction) -> float:
        """Return where a moment stands, in mm."""
        if moment >= self.end:
            return self.right
        place = bisect_right(self.bars, moment, key=lambda bar: bar.onset) - 1
        bar = self.bars[place]
        part = float((moment - bar.onset) / bar.bar.length)
        return self.left + self.wide * place + PAD_MM + part * (self.wide - PAD_MM)


@dataclass(frozen=True, slots=True)
class Layout:
    """A tune in lines, and in each how many rows of names each arrangement needs."""

    systems: tuple[System, ...]
    rows: tuple[tuple[int, ...], ...]


def lay_out(
    ways: Sequence[Arrangement], bars: tuple[int, int] | None, left: float, right: float
) -> Layout:
    """Return the lines of some arrangements of one tune.

    Parameters
    ----------
    ways : sequence of Arrangement
    bars : (int, int), optional
        The first and the last bar, by their numbers as played; all where not given.
    left, right : float
        Between which the bars stand, in mm.

    Raises
    ------
    HarmonyError
        If the tune does not have these bars.
    """
    playing = ways[0].tune.playing
    first, last = _span(ways[0], bars)
    count = last - first
    counts = range(min(_MOST_BARS, count), 1, -1)
    most = next((n for n in counts if _fits(ways, (first, last), n, (left, right))), 1)
    # A phrase is not cut where a few bars less leave it whole.
    whole = [n for n in range(most, most // 2, -1) if count % n == 0]
    systems = tuple(_systems(playing, (first, last), (whole or [most])[0], (left, right)))
    rows = (tuple(min(_ROWS, _rows_of(way, each)) for way in ways) for each in systems)
    return Layout(systems, tuple(rows))


def _span(way: Arrangement, bars: tuple[int, int] | None) -> tuple[int, int]:
    """Return the indices of the first bar and of the one after the last."""
    numbers = movement.played_numbers(way)
    if bars is None:
        return 0, len(numbers)
    inside = [place for place, number in enumerate(numbers) if bars[0] <= number <= bars[1]]
    if not inside or not {*bars} <= {*numbers}:
        raise HarmonyError(
            f"bars {bars[0]} to {bars[1]} of {numbers[-1]} bars as played",
            rule="the first and the last bar, counted as played",
            mend=f"({numbers[0]}, {min(numbers[-1], numbers[0] + _MOST_BARS - 1)})",
        )
    return inside[0], inside[-1] + 1


def _systems(
    playing: Sequence[PlayedBar], span: tuple[int, int], count: int, between: tuple[float, float]
) -> Iterator[System]:
    wide = (between[1] - between[0]) / count
    for start in range(*span, count):
        yield System(tuple(playing[start : min(start + count, span[1])]), start, between[0], wide)


def _fits(
    ways: Sequence[Arrangement], span: tuple[int, int], count: int, between: tuple[float, float]
) -> bool:
    systems = _systems(ways[0].tune.playing, span, count, between)
    return all(
        _rows_of(way, each) <= _ROWS and _has_room(way, each) for each in systems for way in ways
    )


def _has_room(way: Arrangement, system: System) -> bool:
    """Whether stems stand so far from each other that figures fit over them."""
    spots = [system.at(step.onset) for step in way.steps if system.holds(step.onset)]
    return all(after - before >= _APART_MM for before, after in pairwise(spots))


def _rows_of(way: Arrangement, system: System) -> int:
    return max((row for row, _ in _in_rows(way, system)), default=0) + 1


def names_of(way: Arrangement, system: System) -> Iterator[Placed]:
    """Yield the names of the chords of a line: where one is new, and at the line's beginning."""
    before: str | None = None
    for step in way.steps:
        if system.holds(step.onset):
            name = step.chord.unicode if step.chord else functions.silence_of(step)
            if name != before:
                yield system.at(step.onset) - HEAD_MM / 2, name, _is_added(step)
            before = name


def _is_added(step: Step) -> bool:
    return step.chord is not None and is_foreign(step.chord, step.written)


def _in_rows(way: Arrangement, system: System) -> Iterator[tuple[int, Placed]]:
    """Yield the names with their rows from 0; in a third row stands what has no room in two."""
    ends = [0.0] * _ROWS
    for x, name, added in names_of(way, system):
        end = x + text_width(name, NOTE_PT, SEMIBOLD if added else REGULAR)
        row = next(
            (n for n in range(_ROWS) if ends[n] <= x and end <= system.right + _PAST_MM), _ROWS
        )
        if row < _ROWS:
            ends[row] = end + _GAP_MM
        yield row, (x, name, added)


def draw_names(canvas: Canvas, way: Arrangement, system: System, top: float) -> None:
    """Write the names of a line's chords; added ones are bold and underlined."""
    for row, (x, name, added) in _in_rows(way, system):
        if row == _ROWS:
            continue
        y = top + NAME_MM * row + 3.0
        weight = SEMIBOLD if added else REGULAR
        canvas.text(x, y, name, NOTE_PT, weight=weight, anchor="left")
        if added:
            right = x + text_width(name, NOTE_PT, weight)
            canvas.lines([[(x, y + _UNDER_MM), (right, y + _UNDER_MM)]], 0.25)


def draw_bar_lines(canvas: Canvas, system: System, top: float, bottom: float) -> None:
    """Draw the bar lines of a line."""
    edges = [system.left + n * system.wide for n in range(len(system.bars) + 1)]
    canvas.lines([[(x, top), (x, bottom)] for x in edges], 0.15, colour="hair")


def draw_numbers(canvas: Canvas, system: System, way: Arrangement, top: float) -> None:
    """Write each bar's number as played, and the names of sections where they start."""
    starts = {section.name: section.bars[0] for section in way.tune.sections}
    for place, played in enumerate(system.bars):
        number, is_first = way.tune.numbers[system.first + place]
        x, y = system.left + place * system.wide, top + 3.0
        if not is_first:
            continue
        canvas.text(x, y, str(number), SMALL_PT, colour="soft", anchor="left")
        if len(starts) > 1 and starts[played.section] is played.bar:
            room = x + 1.6 + text_width(str(number), SMALL_PT)
            if room + text_width(played.section, SMALL_PT, SEMIBOLD) < x + system.wide:
                said = played.section
                canvas.text(room, y, said, SMALL_PT, weight=SEMIBOLD, anchor="left")
