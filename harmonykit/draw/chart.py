"""A chart of bars: chord symbols where they begin, four bars a line.

Conventions.  Lengths are in mm, type in points.  Bars of a line are equally wide, unless what
stands in one needs more; a line that would crowd is cut in two.  A bar that carries on the chord
before it has the sign of repetition.  What stands below a symbol is small: the frets of a shape.
"""

from collections.abc import Iterator, Sequence

from harmonykit.draw.base.canvas import HEAD_PT, LABEL_PT, NAME_PT, NOTE_PT, SMALL_PT, Canvas
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, broken, text_width
from harmonykit.draw.drawing import SCREEN_MM
from harmonykit.values import dataclass

BARS_A_LINE = 4
_SIDE_MM, _HEAD_MM, _BELOW_MM, _FOOT_MM = 4.0, 7.0, 5.0, 5.0
_TOP_MM, _OVER_MM, _STAFF_MM, _UNDER_MM = 2.0, 6.5, 8.0, 5.0
_PAD_MM, _APART_MM, _THIN_MM, _THICK_MM, _DOT_MM = 2.2, 2.6, 0.25, 0.9, 0.9
# What repeat dots and the words over a bar take beside it.
_DOTS_MM, _WORDS_MM = 1.6, 16.0


@dataclass(frozen=True, slots=True)
class Cell:
    """A chord or silence in a bar: where it begins, as a share of the bar, and its words."""

    at: float
    text: str
    below: str = ""
    added: bool = False
    silent: bool = False

    @property
    def need(self) -> float:
        """The least width in which nothing touches."""
        weight = SEMIBOLD if self.added else REGULAR
        wide = text_width(self.text, NAME_PT, weight), text_width(self.below, SMALL_PT)
        return max(wide) + _APART_MM


@dataclass(frozen=True, slots=True)
class ChartBar:
    """A bar: its number, its chords, and what stands about it.

    Parameters
    ----------
    number : int
    cells : tuple of Cell
        None where the chord before carries on.
    section : str
        The name of the section that begins with it.
    above : str
        What stands over it: a metre, the number of an ending.
    after : str
        What stands over its end: a jump, a sign.
    ending : bool
        Whether it belongs to an ending, which a line over it says.
    opens, closes : bool
        Whether a repeated part begins or ends with it.
    """

    number: int
    cells: tuple[Cell, ...]
    section: str = ""
    above: str = ""
    after: str = ""
    ending: bool = False
    opens: bool = False
    closes: bool = False

    @property
    def need(self) -> float:
        """The least width in which nothing touches."""
        over = text_width(self.above, SMALL_PT) + text_width(self.after, SMALL_PT)
        chords = self.left + sum(cell.need for cell in self.cells) + _PAD_MM
        return max(chords, over + _WORDS_MM)

    @property
    def left(self) -> float:
        """From its line to its first chord."""
        return _PAD_MM + (_DOTS_MM if self.opens else 0.0)


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart: a title, a line below it, bars, and what is said at the foot."""

    title: str
    below: str
    bars: tuple[ChartBar, ...]
    foot: str = ""
    last: bool = True

    @property
    def lines(self) -> tuple[tuple[ChartBar, ...], ...]:
        """The bars that stand side by side: a section begins a line."""
        rows: list[list[ChartBar]] = []
        for bar in self.bars:
            if not rows or bar.section or len(rows[-1]) == BARS_A_LINE + (rows[-1][0].number == 0):
                rows.append([])
            rows[-1].append(bar)
        return tuple(line for row in rows for line in _cut(tuple(row)))


def _cut(row: tuple[ChartBar, ...]) -> Iterator[tuple[ChartBar, ...]]:
    if len(row) > 1 and sum(bar.need for bar in row) > _ROOM_MM:
        middle = (len(row) + 1) // 2
        yield from _cut(row[:middle])
        yield from _cut(row[middle:])
    else:
        yield row


_ROOM_MM = SCREEN_MM - 2 * _SIDE_MM


def chart_height(chart: Chart) -> float:
    """Return how high a chart is, in mm."""
    return _TOP_MM + _head(chart) + sum(_line_high(line) for line in chart.lines) + _foot(chart)


def _head(chart: Chart) -> float:
    return _HEAD_MM * len(_titles(chart)) + _BELOW_MM * len(_belows(chart))


def _titles(chart: Chart) -> list[str]:
    return broken(chart.title, _ROOM_MM, HEAD_PT, SEMIBOLD)


def _belows(chart: Chart) -> list[str]:
    return broken(chart.below, _ROOM_MM, NOTE_PT)


def _feet(chart: Chart) -> list[str]:
    return broken(chart.foot, _ROOM_MM, NOTE_PT)


def _foot(chart: Chart) -> float:
    return _FOOT_MM * len(_feet(chart)) + _SIDE_MM


def _line_high(line: Sequence[ChartBar]) -> float:
    under = any(cell.below for bar in line for cell in bar.cells)
    return _OVER_MM + _STAFF_MM + (_UNDER_MM if under else 0.0)


def lay_chart(canvas: Canvas, chart: Chart) -> None:
    """Draw a chart on the upper part of a sheet ``SCREEN_MM`` wide."""
    y = _TOP_MM
    for line in _titles(chart):
        y += _HEAD_MM
        canvas.text(_SIDE_MM, y - 1.0, line, HEAD_PT, weight=SEMIBOLD, anchor="left")
    for line in _belows(chart):
        y += _BELOW_MM
        canvas.text(_SIDE_MM, y - 0.5, line, NOTE_PT, colour="soft", anchor="left")
    lines = chart.lines
    for number, bars in enumerate(lines):
        ends = chart.last and number == len(lines) - 1
        _lay_line(canvas, bars, y + _OVER_MM, ends=ends)
        y += _line_high(bars)
    for line in _feet(chart):
        y += _FOOT_MM
        canvas.text(_SIDE_MM, y - 0.5, line, NOTE_PT, colour="soft", anchor="left")


def _lay_line(canvas: Canvas, bars: Sequence[ChartBar], top: float, *, ends: bool) -> None:
    full = len(bars) / max(BARS_A_LINE, len(bars))
    widths = _widths([bar.need for bar in bars], _ROOM_MM * full)
    under = any(cell.below for bar in bars for cell in bar.cells)
    high = _STAFF_MM + (_UNDER_MM if under else 0.0) - 1.5
    x = _SIDE_MM
    for bar, wide in zip(bars, widths, strict=True):
        with canvas.group(None, "bar"):
            _lay_bar(canvas, bar, x, top, wide, high)
        x += wide
    _line(canvas, x, top, high, _THICK_MM if ends else _THIN_MM)


def _widths(needs: Sequence[float], room: float) -> list[float]:
    """Return equal widths, but for bars that need more; together they fill the room."""
    room = max(room, sum(needs))
    wide: dict[int, float] = {}
    while True:
        rest = len(needs) - len(wide)
        share = (room - sum(wide.values())) / rest if rest else 0.0
        more = {n: need for n, need in enumerate(needs) if n not in wide and need > share + 1e-9}
        if not more:
            return [wide.get(n, share) for n in range(len(needs))]
        wide |= more


def _line(canvas: Canvas, x: float, top: float, high: float, thick: float) -> None:
    canvas.lines([[(x, top), (x, top + high)]], thick)


def _lay_bar(canvas: Canvas, bar: ChartBar, x: float, top: float, wide: float, high: float) -> None:
    _line(canvas, x, top, high, _THICK_MM if bar.opens else _THIN_MM)
    over = x
    if bar.section:
        canvas.text(x, top - 1.6, bar.section, LABEL_PT, weight=SEMIBOLD, anchor="left")
        over += text_width(bar.section, LABEL_PT, SEMIBOLD) + _APART_MM
    words = "  ".join(filter(None, (str(bar.number or ""), bar.above)))
    canvas.text(over, top - 1.6, words, SMALL_PT, colour="soft", anchor="left")
    canvas.text(x + wide - 3.0, top - 1.6, bar.after, SMALL_PT, colour="soft", anchor="right")
    if bar.ending:
        canvas.lines([[(x + 0.6, top - 5.2), (x + wide - 0.6, top - 5.2)]], _THIN_MM)
    middle = top + high / 2
    for side, shown in ((1.6, bar.opens), (wide - 1.6, bar.closes)):
        if shown:
            _dots(canvas, x + side, middle)
    if bar.closes:
        _line(canvas, x + wide - 0.5, top, high, _THICK_MM)
    if not bar.cells:
        _carry_on(canvas, x + wide / 2, middle)
    for cell, place in zip(bar.cells, _places(bar, wide), strict=True):
        _lay_cell(canvas, cell, x + place, top)


def _places(bar: ChartBar, wide: float) -> list[float]:
    """Return where each chord stands: at its beat, or aside where others need room."""
    places = [bar.left + cell.at * (wide - bar.left - _PAD_MM) for cell in bar.cells]
    needs = [cell.need for cell in bar.cells]
    end = wide - _PAD_MM + _APART_MM
    for n in reversed(range(len(places))):
        end = places[n] = min(places[n], end - needs[n])
    start = bar.left
    for n in range(len(places)):
        places[n] = max(places[n], start)
        start = places[n] + needs[n]
    return places


def _lay_cell(canvas: Canvas, cell: Cell, x: float, top: float) -> None:
    weight = SEMIBOLD if cell.added else REGULAR
    role = "added" if cell.added else "chord"
    with canvas.group(None, role):
        canvas.text(x, top + 4.9, cell.text, NAME_PT, weight=weight, anchor="left")
        if cell.added:
            wide = text_width(cell.text, NAME_PT, weight)
            canvas.lines([[(x, top + 6.2), (x + wide, top + 6.2)]], 0.4, colour="third")
        if cell.below:
            canvas.text(x, top + 10.0, cell.below, SMALL_PT, colour="soft", anchor="left")


def _dots(canvas: Canvas, x: float, middle: float) -> None:
    for side in (-1.3, 1.3):
        canvas.circle(x, middle + side, _DOT_MM, fill="ink")


def _carry_on(canvas: Canvas, x: float, middle: float) -> None:
    """The sign of repetition: a stroke between two dots."""
    canvas.lines([[(x - 1.4, middle + 1.8), (x + 1.4, middle - 1.8)]], 0.7)
    for way in (-1, 1):
        canvas.circle(x + 1.5 * way, middle + 0.9 * way, _DOT_MM, fill="ink")
