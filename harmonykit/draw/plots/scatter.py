"""Arrangements as marks over two measures, lettered, and named with their numbers in a list.

Conventions.  Across: semitones that the voices move; up: millimetres that the hand travels; the
third measure, added chords, stands in the list.  A lettered disc is a choice of a front, a numbered
square one of the best, an open square the tune as written, a small ring another arrangement of the
front.  A mark that has no room at its point is tied to it by a line.  On a wide figure the list
stands beside the marks, on a narrow one below them.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Literal

from harmonykit.arrange.choices import Triple
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SMALL_PT, THIN_MM, Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, broken
from harmonykit.draw.plots.frame import Foot, check_width, draw_grid, place_labels, round_ticks
from harmonykit.draw.tree import Outline, Path, Point, ring, rounded
from harmonykit.values import dataclass

Kind = Literal["disc", "square", "open", "dot"]
Ring = Literal["", "solid", "dashed"]

DOT_MM, MARK_MM = 1.8, 5.0
_BESIDE_MM, _LIST_MM, _GAP_MM = 136.0, 80.0, 5.0
_LEFT_MM, _TOP_MM, _RIGHT_MM, _BELOW_MM, _UP_MM = 9.5, 8.0, 4.0, 12.0, 62.0
_MOST_UP_MM = 96.0
_RING_MM, _HIT_MM, _NAME_MM, _LINE_MM, _ROW_MM = 7.4, 5.6, 8.0, 3.9, 7.4
_COLUMNS = (("semitones", 22.5), ("mm", 12.5), ("added", 0.5))


@dataclass(frozen=True, slots=True)
class Mark:
    """An arrangement as it is marked.

    Parameters
    ----------
    values : tuple of int
        Semitones, millimetres, added chords.
    label : str
        What stands in the mark and in the list; nothing for a dot.
    name : str
        What the list calls it.
    kind : {"disc", "square", "open", "dot"}
    ring : {"", "solid", "dashed"}
        Around what is shown, and what stands beside it.
    part, alt : str
        The id of the group that it is drawn in, and its words for the ear.
    """

    values: Triple
    label: str = ""
    name: str = ""
    kind: Kind = "dot"
    ring: Ring = ""
    part: str = ""
    alt: str = ""


def draw_marks(
    marks: Sequence[Mark],
    what: str,
    alt: str,
    *,
    told: Sequence[str],
    width_mm: float,
    palette: str = "colour",
) -> Drawing:
    """Draw marks with their list, and below them what to see.

    Raises
    ------
    HarmonyError
        If the figure is narrower than 90 mm.
    """
    check_width(width_mm)
    beside = width_mm >= _BESIDE_MM
    wide = width_mm - _LIST_MM - _GAP_MM if beside else width_mm
    rows = [*_rows([m for m in marks if m.label], width_mm if not beside else _LIST_MM)]
    listed = _ROW_MM + sum(high for *_, high in rows)
    # Beside a long list the marks have more room.
    up = min(_MOST_UP_MM, max(_UP_MM, listed - _TOP_MM - _BELOW_MM)) if beside else _UP_MM
    high = max(scatter_high(up), listed) if beside else scatter_high() + listed
    key = [(kind, _KEY[kind]) for kind in dict.fromkeys(mark.kind for mark in marks)]
    foot = Foot(width_mm, told, [*key, ("bold", "the smallest in its column")], _sample)
    canvas = Canvas(width_mm, high + 2.5 + foot.high, palette)
    draw_scatter(canvas, marks, wide, up)
    corner = (width_mm - _LIST_MM, 0.0) if beside else (0.0, scatter_high())
    with canvas.group("list"):
        _list(canvas, rows, corner, width_mm, _least(marks))
    foot.draw(canvas, high + 2.5)
    return canvas.drawing(what, alt)


def scatter_high(up_mm: float = _UP_MM) -> float:
    """Return how high the marks with their axes are, in mm."""
    return _TOP_MM + up_mm + _BELOW_MM


def draw_scatter(canvas: Canvas, marks: Sequence[Mark], wide: float, up_mm: float = _UP_MM) -> None:
    """Draw marks over their axes at the top left of a sheet, so many mm wide and high."""
    across = tuple(round_ticks([mark.values[0] for mark in marks]))
    up = tuple(round_ticks([mark.values[1] for mark in marks]))
    start, end, ground = _LEFT_MM, wide - _RIGHT_MM, _TOP_MM + up_mm

    def at(x: float, y: float) -> Point:
        right, high = ((v - t[0]) / (t[-1] - t[0]) for v, t in ((x, across), (y, up)))
        return start + right * (end - start), ground - high * up_mm

    canvas.text(1.0, 3.4, "hand travel, mm", NOTE_PT, colour="soft", anchor="left")
    draw_grid(canvas, at, across, up)
    title = "voice movement, semitones"
    canvas.text(end, ground + 9.4, title, NOTE_PT, colour="soft", anchor="right")
    points = tuple(at(*mark.values[:2]) for mark in marks)
    within = (start - 1.0, _TOP_MM - 5.0, wide, ground - 0.5)
    spots = _spots(points, tuple(bool(mark.label) for mark in marks), within)
    for point, spot in zip(points, spots, strict=True):
        if point != spot:
            canvas.lines([[point, spot]], THIN_MM)
            canvas.circle(*point, DOT_MM, fill="ink")
    # Marks lie over dots, and what is shown over all.
    for n in sorted(range(len(marks)), key=lambda n: (marks[n].ring, bool(marks[n].label))):
        _draw(canvas, marks[n], spots[n])


@lru_cache(maxsize=16)
def _spots(
    points: tuple[Point, ...], marked: tuple[bool, ...], within: tuple[float, float, float, float]
) -> tuple[Point, ...]:
    """Return where marks find room; dots stay at their points."""
    # Between two marks the ring of one has room; no mark hides the point of another.
    size = (MARK_MM + 2.4, MARK_MM + 2.4)
    wanted = [point for point, is_marked in zip(points, marked, strict=True) if is_marked]
    sizes = [size] * len(wanted)
    found = iter(place_labels(wanted, sizes, within=within, clear=points, clear_mm=0.4))
    pairs = zip(points, marked, strict=True)
    return tuple(next(found) if is_marked else point for point, is_marked in pairs)


def _draw(canvas: Canvas, mark: Mark, spot: Point) -> None:
    with canvas.group(mark.part or None, alt=mark.alt):
        if mark.part:
            side = _HIT_MM if mark.label else 3.4
            canvas.add(Path(_square(spot, side), role="hit"))
        _mark(canvas, mark, spot)
        if mark.ring:
            dash = () if mark.ring == "solid" else (0.92, 0.78)
            across = _RING_MM if mark.label else 4.2
            drawn = ring(*spot, across)
            canvas.add(Path(drawn, stroke="ink", width=0.5, dash=dash, role="ring"))


def _mark(canvas: Canvas, mark: Mark, spot: Point) -> None:
    if mark.kind == "dot":
        canvas.circle(*spot, DOT_MM, fill="paper", stroke="ink", width=0.33)
        return
    if mark.kind == "open":
        side = MARK_MM - 0.4
        canvas.add(Path(_square(spot, side), fill="paper", stroke="ink", width=0.42))
    elif mark.kind == "square":
        canvas.add(Path(_square(spot, MARK_MM), fill="ink"))
    else:
        canvas.circle(*spot, MARK_MM, fill="ink")
    colour = "ink" if mark.kind == "open" else "paper"
    canvas.letter(*spot, mark.label, LABEL_PT, weight=SEMIBOLD, colour=colour)


def _square(middle: Point, side: float) -> Outline:
    return rounded(middle[0] - side / 2, middle[1] - side / 2, side, side, 0.28)


Row = tuple[Mark, list[str], float]
"""A mark of the list, its name in lines, and how high it is."""


def _rows(marks: Sequence[Mark], wide: float) -> Iterator[Row]:
    room = wide - _NAME_MM - _COLUMNS[0][1] - 15.0
    for mark in marks:
        lines = broken(mark.name, room, NOTE_PT)
        yield mark, lines, max(_ROW_MM, _LINE_MM * len(lines) + 2.4)


def _list(canvas: Canvas, rows: Sequence[Row], corner: Point, right: float, least: Triple) -> None:
    left, y = corner
    ends = [right - back for _, back in _COLUMNS]
    for (head, _), x in zip(_COLUMNS, ends, strict=True):
        canvas.text(x, y + 3.4, head, SMALL_PT, colour="soft", anchor="right")
    y += _ROW_MM - 2.4
    for mark, lines, high in rows:
        canvas.lines([[(left, y), (right, y)]], 0.15, colour="hair")
        middle = y + _ROW_MM / 2
        _mark(canvas, mark, (left + MARK_MM / 2 + 0.5, middle))
        for place, line in enumerate(lines):
            spot = (left + _NAME_MM, middle + place * _LINE_MM)
            canvas.letter(*spot, line, NOTE_PT, anchor="left")
        for column, x in enumerate(ends):
            value = mark.values[column]
            weight = SEMIBOLD if value == least[column] else REGULAR
            canvas.letter(x, middle, str(value), LABEL_PT, weight=weight, anchor="right")
        y += high


def _least(marks: Sequence[Mark]) -> Triple:
    semitones, travel, added = (min(mark.values[n] for mark in marks) for n in range(3))
    return semitones, travel, added


_KEY = {
    "disc": "chosen from the Pareto front",
    "square": "least sum of weights",
    "open": "the tune as written",
    "dot": "also on the Pareto front",
}


def _sample(canvas: Canvas, x: float, y: float, kind: str) -> None:
    middle = (x + 1.4, y)
    if kind == "dot":
        canvas.circle(*middle, DOT_MM, fill="paper", stroke="ink", width=0.33)
    elif kind == "disc":
        canvas.circle(*middle, 2.8, fill="ink")
    elif kind == "bold":
        canvas.letter(x + 0.4, y, "1", SMALL_PT, weight=SEMIBOLD, anchor="left")
    else:
        fill = "ink" if kind == "square" else "paper"
        canvas.add(Path(_square(middle, 2.4), fill=fill, stroke="ink", width=0.4))
