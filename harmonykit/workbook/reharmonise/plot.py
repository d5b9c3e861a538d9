"""The ways of a search as a scatter, each mark something to press.

Conventions.  Across: semitones that the voices move; up: millimetres that the hand travels.  A
numbered square is one of the best, a lettered disc a choice of the front, a small open disc another
arrangement of the front, ``0`` the tune as written.  What is shown has a ring about it, what stands
beside it a dashed ring: nothing is told by colour.
"""

from dataclasses import dataclass
from functools import lru_cache

from harmonykit.arrange.choices import Triple
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.spread import place_labels
from harmonykit.draw.base.style import SEMIBOLD
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.plots.front import Axes
from harmonykit.draw.svg import (
    ROOT,
    VARIABLES,
    Attributes,
    Pen,
    opened,
    points,
    write_parts,
)
from harmonykit.draw.tree import Group, Mark, Outline, Part, Path, Point, ring, rounded
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import AS_WRITTEN, BEST, Row, Ways

WIDE_MM, HIGH_MM, _STILL_MM = 108.0, 86.0, 174.0
_COLUMNS_MM, _TOP_MM, _ROW_MM = (138.0, 155.0, 172.0), 4.0, 6.2
_MARK_MM, _DOT_MM, _RING_MM, _HIT_MM = 5.0, 1.8, 7.4, 5.6
_POINT = 10.0
# Where marks may be moved to: within the axes.
_WITHIN = (14.0, 3.0, 107.0, 74.0)
_ROW = "row-"


def draw_ways(ways: Ways, state: ReharmoniseState) -> Drawing:
    """Draw the scatter as a still picture, with the numbers that a table says beside a live one."""
    canvas = _drawn(ways, state, _STILL_MM)
    _list(canvas, ways)
    return canvas.drawing("all arrangements", describe(ways))


def live_ways(ways: Ways, state: ReharmoniseState) -> str:
    """Return the scatter with parts that can be pressed: ``row-best-1`` and so on."""
    chosen = ways.chosen(state.chosen).id
    head = {
        "xmlns": "http://www.w3.org/2000/svg",
        "width": f"{WIDE_MM:.3f}mm",
        "height": f"{HIGH_MM:.3f}mm",
        "viewBox": f"0 0 {points(WIDE_MM)} {points(HIGH_MM)}",
        "role": "group",
        "aria-label": "all arrangements",
    }
    parts = _drawn(ways, state, WIDE_MM).parts
    written = write_parts(parts, _Pressed(colours=VARIABLES, chosen=chosen))
    return f"{opened('svg', [*head.items(), *ROOT])}\n{written}</svg>"


@dataclass(frozen=True, slots=True)
class _Pressed(Pen):
    """Writes each row as something to press."""

    chosen: str = ""

    def named(self, part: Part) -> Attributes:
        """Yield the attributes that say which part it is."""
        if isinstance(part, Group) and part.id.startswith(_ROW):
            yield "data-press", part.id
            yield "role", "button"
            yield "tabindex", "-1"
            yield "aria-pressed", str(part.id == _ROW + self.chosen).lower()
            yield "aria-label", part.alt
        elif part.role and not isinstance(part, Mark):
            yield "class", part.role


def describe(ways: Ways) -> str:
    """Return the scatter in words.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| Dm6 | Bb7 | A7 | Dm6 |", prefer="ascending walk", best=1)
    >>> print(describe(find_best(state, lambda done, total: None)).split(";")[0])
    2 arrangements: as written, 12 semitones, 11 mm, no added chords
    """
    told = [f"{row.name}, {numbers(row.values)}" for row in ways.rows if row.is_told]
    more = len(ways.rows) - len(told)
    ending = f"; and {more} more on the Pareto front" if more else ""
    return f"{len(ways.rows)} arrangements: {'; '.join(told)}{ending}"


def numbers(values: Triple) -> str:
    """Return the three measures of the plot in words."""
    semitones, travel, added = values
    chords = f"{added or 'no'} added chord{'' if added == 1 else 's'}"
    return f"{semitones} semitone{'' if semitones == 1 else 's'}, {travel} mm, {chords}"


def summary(ways: Ways) -> str:
    """Return in a line what was found.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| Dm6 | Bb7 | A7 | Dm6 |", best=2)
    >>> print(summary(find_best(state, lambda done, total: None)))
    Untitled in D minor on the ukulele, 4 bars: the tune as written and the 2 best arrangements
    """
    tune = ways.tune
    best = sum(row.id.startswith(BEST) or row.also.startswith(BEST) for row in ways.rows)
    bars = len(tune.playing)
    head = f"{tune.title} in {tune.key.unicode} on the {ways.state.instrument}, {bars} bars"
    found = f"{head}: the tune as written and the {best} best arrangements"
    if ways.front is None:
        return found
    return f"{found}, and {len(ways.front.points)} on the Pareto front"


def _drawn(ways: Ways, state: ReharmoniseState, width: float) -> Canvas:
    ground, places = _laid_out(tuple((row.values, row.is_told) for row in ways.rows))
    canvas = Canvas(width, HIGH_MM)
    for part in ground:
        canvas.add(part)
    chosen = ways.chosen(state.chosen).id
    for point, place in places:
        if point != place:
            canvas.lines([[point, place]], 0.25)
            canvas.circle(*point, 1.55, fill="ink")
    # Marks lie over dots, and what is shown over all.
    for n in sorted(
        range(len(ways.rows)), key=lambda n: _depth(ways.rows[n], chosen, state.beside)
    ):
        row, (x, y) = ways.rows[n], places[n][1]
        with canvas.group(_ROW + row.id, alt=f"{row.name}: {numbers(row.values)}"):
            side = _HIT_MM if row.is_told else 3.4
            canvas.add(Path(_square(x, y, side), role="hit"))
            _mark(canvas, row, x, y)
            if row.id in (chosen, state.beside):
                dash = () if row.id == chosen else (0.92, 0.78)
                across = _RING_MM if row.is_told else 4.2
                canvas.add(
                    Path(ring(x, y, across), stroke="ink", width=0.53, dash=dash, role="ring")
                )
    return canvas


def _list(canvas: Canvas, ways: Ways) -> None:
    """Set the numbers of all that has a mark."""
    for x, head in zip(_COLUMNS_MM, ("semitones", "mm", "added"), strict=True):
        canvas.letter(x, _TOP_MM, head, _POINT, colour="soft", anchor="right")
    told = [row for row in ways.rows if row.is_told]
    step = min(_ROW_MM, (HIGH_MM - _TOP_MM) / (len(told) + 1))
    for place, row in enumerate(told, 1):
        y = _TOP_MM + place * step
        _mark(canvas, row, WIDE_MM + 6.0, y)
        for x, value in zip(_COLUMNS_MM, row.values, strict=True):
            canvas.letter(x, y, str(value), _POINT, anchor="right")


def _depth(row: Row, chosen: str, beside: str) -> int:
    return 3 if row.id == chosen else 2 if row.id == beside else 1 if row.is_told else 0


@lru_cache(maxsize=16)
def _laid_out(
    rows: tuple[tuple[Triple, bool], ...],
) -> tuple[tuple[Part, ...], list[tuple[Point, Point]]]:
    """Return the axes, and of each row its point and where its mark found room."""
    canvas = Canvas(WIDE_MM, HIGH_MM)
    axes = Axes([values for values, _ in rows])
    axes.draw(canvas)
    at_points = [axes.place(values) for values, _ in rows]
    marked = [point for point, (_, told) in zip(at_points, rows, strict=True) if told]
    size = (_MARK_MM + 0.8, _MARK_MM + 0.8)
    found = iter(place_labels(marked, [size] * len(marked), within=_WITHIN))
    ends = [next(found) if told else at for at, (_, told) in zip(at_points, rows, strict=True)]
    return canvas.parts, list(zip(at_points, ends, strict=True))


def _mark(canvas: Canvas, row: Row, x: float, y: float) -> None:
    if not row.is_told:
        canvas.circle(x, y, _DOT_MM, fill="paper", stroke="ink", width=0.32)
        return
    written = row.id == AS_WRITTEN
    if written:
        canvas.add(Path(_square(x, y, _MARK_MM - 0.4), fill="paper", stroke="ink", width=0.42))
    elif row.id.startswith("best"):
        canvas.add(Path(_square(x, y, _MARK_MM), fill="ink"))
    else:
        canvas.circle(x, y, _MARK_MM, fill="ink")
    colour = "ink" if written else "paper"
    canvas.letter(x, y, row.mark, _POINT, weight=SEMIBOLD, colour=colour)


def _square(x: float, y: float, side: float) -> Outline:
    return rounded(x - side / 2, y - side / 2, side, side, 0.28)
