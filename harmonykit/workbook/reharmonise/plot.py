"""The ways of a search as a scatter, each mark something to press.

Conventions.  Across: semitones that the voices move; up: millimetres that the hand travels.  A
numbered square is one of the best, a lettered disc a choice of the front, a small open disc another
arrangement of the front, ``0`` the tune as written.  What is shown has a ring about it, what stands
beside it a dashed ring: nothing is told by colour.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from html import escape

from harmonykit.arrange.choices import Triple
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.spread import place_labels
from harmonykit.draw.base.style import FAMILIES, POINTS_PER_MM, palette
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.plots.front import Axes
from harmonykit.draw.tree import Point
from harmonykit.workbook.base.scene import background, path
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import AS_WRITTEN, Row, Ways

WIDE_MM, HIGH_MM, _STILL_MM = 108.0, 86.0, 174.0
_COLUMNS_MM, _TOP_MM, _ROW_MM = (138.0, 155.0, 172.0), 4.0, 6.2
_MARK_MM, _DOT_MM, _RING_MM, _HIT_MM = 5.0, 1.8, 7.4, 5.6
_POINT = 10.0
_CAP_MIDDLE_EM = 0.327
# Where marks may be moved to: within the axes.
_WITHIN = (14.0, 3.0, 107.0, 74.0)
_INK, _PAPER = palette("colour").ink, palette("colour").paper


def draw_ways(ways: Ways, state: ReharmoniseState) -> Drawing:
    """Draw the scatter as a still picture."""
    return Drawing.of(_svg(ways, state, False), describe(ways), _STILL_MM, HIGH_MM)


def live_ways(ways: Ways, state: ReharmoniseState) -> str:
    """Return the scatter with parts that can be pressed: ``row-best-1`` and so on."""
    return _svg(ways, state, True)


def describe(ways: Ways) -> str:
    """Return the scatter in words.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| Dm6 | Bb7 | A7 | Dm6 |", best=1)
    >>> print(describe(find_best(state, lambda done, total: None)).split(";")[0])
    2 ways: as written, 12 semitones, 11 mm, no chords put in
    """
    told = [f"{row.name}, {numbers(row.values)}" for row in ways.rows if row.is_told]
    more = len(ways.rows) - len(told)
    ending = f"; and {more} more of the front" if more else ""
    return f"{len(ways.rows)} ways: {'; '.join(told)}{ending}"


def numbers(values: Triple) -> str:
    """Return the three measures of the plot in words."""
    semitones, travel, inserted = values
    chords = f"{inserted or 'no'} chord{'' if inserted == 1 else 's'} put in"
    return f"{semitones} semitone{'' if semitones == 1 else 's'}, {travel} mm, {chords}"


def summary(ways: Ways) -> str:
    """Return in a line what was found.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| Dm6 | Bb7 | A7 | Dm6 |", best=2)
    >>> print(summary(find_best(state, lambda done, total: None)))
    Untitled in D minor on the ukulele, 4 bars: the tune as written and the 2 best
    """
    tune = ways.tune
    best = sum("best" in row.name for row in ways.rows)
    bars = len(tune.playing)
    head = f"{tune.title} in {tune.key.unicode} on the {ways.state.instrument}, {bars} bars"
    found = f"{head}: the tune as written and the {best} best"
    if ways.front is None:
        return found
    return f"{found}, and a front of {len(ways.front.points)}"


def _svg(ways: Ways, state: ReharmoniseState, live: bool) -> str:
    ground, places = _laid_out(tuple((row.values, row.is_told) for row in ways.rows))
    chosen = ways.chosen(state.chosen).id
    # Marks lie over dots, and what is shown over all.
    order = sorted(range(len(ways.rows)), key=lambda n: _depth(ways.rows[n], chosen, state.beside))
    inner = "".join(_leader(*place) for place in places)
    inner += "".join(_spot(ways.rows[n], places[n][1], chosen, state.beside, live) for n in order)
    inner += "" if live else "".join(_list(ways))
    wide = WIDE_MM if live else _STILL_MM
    box = f"0 0 {_points(wide)} {_points(HIGH_MM)}"
    role = 'role="group" aria-label="all ways"' if live else ""
    label = role or f'role="img" aria-label="{escape(describe(ways))}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{HIGH_MM:.3f}mm"'
        f' viewBox="{box}" {label} stroke-linejoin="round">\n{ground}\n{inner}</svg>'
    )


def _list(ways: Ways) -> Iterator[str]:
    """Yield the numbers of all that has a mark: what the table says beside a live plot."""
    for x, head in zip(_COLUMNS_MM, ("semitones", "mm", "put in"), strict=True):
        yield _text(x, _TOP_MM, head, "soft")
    told = [row for row in ways.rows if row.is_told]
    step = min(_ROW_MM, (HIGH_MM - _TOP_MM) / (len(told) + 1))
    for place, row in enumerate(told, 1):
        y = _TOP_MM + place * step
        yield f'<g transform="translate({_points(WIDE_MM + 6.0)} {_points(y)})">{_mark(row)}</g>'
        for x, value in zip(_COLUMNS_MM, row.values, strict=True):
            yield _text(x, y, str(value), "ink")


def _text(x: float, y: float, text: str, colour: str) -> str:
    down = _CAP_MIDDLE_EM * _POINT
    return (
        f'<text x="{_points(x)}" y="{y * POINTS_PER_MM + down:.2f}" font-size="{_POINT:g}"'
        f' text-anchor="end" font-family="{FAMILIES}"'
        f' fill="{palette("colour").tokens[colour]}">{text}</text>'
    )


def _depth(row: Row, chosen: str, beside: str) -> int:
    return 3 if row.id == chosen else 2 if row.id == beside else 1 if row.is_told else 0


@lru_cache(maxsize=16)
def _laid_out(rows: tuple[tuple[Triple, bool], ...]) -> tuple[str, list[tuple[Point, Point]]]:
    """Return the axes, and of each row its point and where its mark found room."""
    canvas = Canvas(WIDE_MM, HIGH_MM)
    axes = Axes([values for values, _ in rows])
    axes.draw(canvas)
    points = [axes.place(values) for values, _ in rows]
    marked = [point for point, (_, told) in zip(points, rows, strict=True) if told]
    size = (_MARK_MM + 0.8, _MARK_MM + 0.8)
    found = iter(place_labels(marked, [size] * len(marked), within=_WITHIN))
    ends = [next(found) if told else at for at, (_, told) in zip(points, rows, strict=True)]
    return background(canvas), list(zip(points, ends, strict=True))


def _spot(row: Row, place: Point, chosen: str, beside: str, live: bool) -> str:
    part = f"row-{row.id}"
    said = f"{row.name}: {numbers(row.values)}"
    pressed = str(row.id == chosen).lower()
    named = (
        f'data-press="{part}" role="button" tabindex="-1" aria-pressed="{pressed}"'
        f' aria-label="{escape(said)}"'
        if live
        else f'id="{part}"'
    )
    x, y = place
    inner = _mark(row) + (_ring(row, chosen, beside) if row.id in (chosen, beside) else "")
    hit = _rect(_HIT_MM if row.is_told else 3.4, 'class="hit" fill="none" pointer-events="all"')
    group = f'<g transform="translate({_points(x)} {_points(y)})">{hit}{inner}</g>'
    return f"<g {named}>{group}</g>\n"


def _leader(point: Point, place: Point) -> str:
    """Return the line from a mark that was moved aside to its point."""
    if point == place:
        return ""
    x, y = (_points(each) for each in point)
    return (
        f'<path d="{path([point, place])}" fill="none" stroke="{_INK}" stroke-width="0.7"/>'
        f'<circle cx="{x}" cy="{y}" r="2.2" fill="{_INK}"/>'
    )


def _mark(row: Row) -> str:
    if not row.is_told:
        look = f'fill="{_PAPER}" stroke="{_INK}" stroke-width="0.9"'
        return f'<circle r="{_points(_DOT_MM / 2)}" {look}/>'
    if row.id == AS_WRITTEN:
        return _rect(_MARK_MM - 0.4, f'fill="{_PAPER}" stroke="{_INK}" stroke-width="1.2"') + (
            _letter(row.mark, _INK)
        )
    if row.id.startswith("best"):
        return _rect(_MARK_MM, f'fill="{_INK}"') + _letter(row.mark, _PAPER)
    disc = f'<circle r="{_points(_MARK_MM / 2)}" fill="{_INK}"/>'
    return disc + _letter(row.mark, _PAPER)


def _ring(row: Row, chosen: str, beside: str) -> str:
    dash = "" if row.id == chosen else ' stroke-dasharray="2.6 2.2"'
    across = _RING_MM if row.is_told else 4.2
    look = f'fill="none" stroke="{_INK}" stroke-width="1.5"{dash}'
    return f'<circle class="ring" r="{_points(across / 2)}" {look}/>'


def _rect(side: float, look: str) -> str:
    half, whole = _points(-side / 2), _points(side)
    return f'<rect x="{half}" y="{half}" width="{whole}" height="{whole}" rx="0.8" {look}/>'


def _letter(text: str, colour: str) -> str:
    down = f"{_CAP_MIDDLE_EM * _POINT:.2f}"
    return (
        f'<text y="{down}" font-size="{_POINT:g}" font-weight="600" text-anchor="middle"'
        f' font-family="{FAMILIES}" fill="{colour}">{text}</text>'
    )


def _points(mm: float) -> str:
    return f"{mm * POINTS_PER_MM:.2f}"
