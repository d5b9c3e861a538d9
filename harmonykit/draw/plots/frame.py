"""What stands round a plot: axes, labels beside their points, the key, and what there is to see.

Conventions.  Lengths in mm, y down.  A label is a rectangle of given width and height about its
middle.  Key and sentences are as wide as the figure; entries and words go on in the next line where
one is full.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import islice

from harmonykit.draw.base.canvas import NOTE_PT, SMALL_PT, THIN_MM, Canvas
from harmonykit.draw.base.fonts import broken, text_width
from harmonykit.draw.tree import Point
from harmonykit.errors import HarmonyError

LEAST_MM = 90.0
"""A telephone's width, less what a page leaves at its edges."""
SIDE_MM = 1.0
_LINE_MM, _SAMPLE_MM, _APART_MM = 4.3, 4.2, 4.0

Sample = Callable[[Canvas, float, float, str], None]
"""Draws the sample of a kind from a place on, in the middle of a line."""


def check_width(width_mm: float) -> None:
    """Make sure that a figure is wide enough for its names.

    Raises
    ------
    HarmonyError
        If it is narrower than a telephone.
    """
    if not width_mm >= LEAST_MM:
        raise HarmonyError(
            f"a figure {width_mm:g} mm wide is too narrow", rule=f"at least {LEAST_MM:g} mm"
        )


class Foot:
    """The key of a figure and what to see in it.

    Parameters
    ----------
    width : float
        In mm.
    told : sequence of str
        The sentences, each of which begins a line.
    key : sequence of (str, str)
        The kinds of what is drawn, and in words what each stands for.
    sample : callable
        Draws one of a kind.
    """

    def __init__(
        self, width: float, told: Sequence[str], key: Sequence[tuple[str, str]], sample: Sample
    ) -> None:
        self._room = width - 2 * SIDE_MM
        self._lines = [line for text in told for line in broken(text, self._room, NOTE_PT)]
        self._sample = sample
        self._entries = [*_entries(key, self._room)]

    @property
    def high(self) -> float:
        """How high it is, in mm."""
        rows = max(row for row, *_ in self._entries) + 1
        return (rows + len(self._lines)) * _LINE_MM + 3.0

    def draw(self, canvas: Canvas, top: float) -> None:
        """Draw key and sentences."""
        y = top
        for row, x, kind, text in self._entries:
            y = top + row * _LINE_MM + 2.0
            self._sample(canvas, SIDE_MM + x, y, kind)
            left = SIDE_MM + x + _SAMPLE_MM
            canvas.letter(left, y, text, SMALL_PT, colour="soft", anchor="left")
        y += 0.6
        for line in self._lines:
            y += _LINE_MM
            canvas.letter(SIDE_MM, y, line, NOTE_PT, anchor="left")


def _entries(key: Sequence[tuple[str, str]], room: float) -> Iterator[tuple[int, float, str, str]]:
    """Yield row, place, kind and words of what is in the key."""
    row, x = 0, 0.0
    for kind, text in key:
        wide = _SAMPLE_MM + text_width(text, SMALL_PT)
        if x and x + wide > room:
            row, x = row + 1, 0.0
        yield row, x, kind, text
        x += wide + _APART_MM


def draw_grid(
    canvas: Canvas,
    at: Callable[[float, float], Point],
    across: Sequence[int],
    up: Sequence[int],
) -> None:
    """Draw both axes of a panel with their numbers.

    Parameters
    ----------
    canvas : Canvas
    at : callable
        Where a value across and a value up lie, in mm.
    across, up : sequence of int
        The numbers at the axes, rising; a panel begins and ends with its first and last.
    """
    (start, ground), (end, _) = at(across[0], up[0]), at(across[-1], up[0])
    for tick in up:
        y = at(across[0], tick)[1]
        canvas.lines([[(start, y), (end, y)]], 0.15, colour="hair")
        canvas.letter(start - 2.0, y, str(tick), SMALL_PT, colour="soft", anchor="right")
    canvas.lines([[(start, ground), (end, ground)]], THIN_MM)
    for tick in across:
        x = at(tick, up[0])[0]
        canvas.lines([[(x, ground), (x, ground + 1.2)]], THIN_MM)
        canvas.text(x, ground + 4.6, str(tick), SMALL_PT, colour="soft")


def round_ticks(values: Sequence[float]) -> list[int]:
    """Return five or so round numbers that hold all the values."""
    low, high = min(values), max(values)
    step = next(s for s in STEPS if (high - low) / s <= 5)
    start = int(low // step * step)
    end = int(max(start + step, -(-high // step) * step))
    return list(range(start, end + 1, step))


STEPS: tuple[int, ...] = tuple(n * 10**power for power in range(12) for n in (1, 2, 5))
"""From one number at an axis to the next."""


Box = tuple[float, float, float, float]

_TURNS, _NEAR = 16, 48
_STEP_MM = 1.6


def place_labels(
    points: Sequence[Point],
    sizes: Sequence[Point],
    *,
    within: Box,
    gap: float = 0.0,
    clear: Sequence[Point] = (),
    clear_mm: float = 1.0,
    rather_not: Sequence[Point] = (),
) -> tuple[Point, ...]:
    """Return the middle of each label: as near to its point as it finds room, in the order given.

    One for which there is no room anywhere stands on its point.

    Parameters
    ----------
    points : sequence of (float, float)
    sizes : sequence of (float, float)
        Width and height of each label.
    within : (left, top, right, bottom)
        Where labels may stand.
    gap : float
        How far a label's middle stands from its point at the least; 0 puts it on the point.
    clear : sequence of (float, float)
        Points that no label may cover, each with ``clear_mm`` around it.
    rather_not : sequence of (float, float)
        Points, as along a line, that no label covers where it has room beside them nearby.

    Examples
    --------
    >>> room = (0, 0, 50, 50)
    >>> place_labels([(20, 20), (20, 20)], [(5, 5), (5, 5)], within=room)[0]
    (20, 20)
    """
    taken: list[Box] = []
    found = []
    for index, (point, size) in enumerate(zip(points, sizes, strict=True)):
        others = [other for other in clear if gap or other != point]
        spots = _spots(point, size, gap, index, within)
        fitting = (s for s in spots if _fits(_box(s, size), within, taken, others, clear_mm))
        free = list(islice(fitting, _NEAR if rather_not else 1))
        near = (s for s in free if not _covers(_box(s, size), rather_not, 0.0))
        spot = next(near, free[0] if free else point)
        taken.append(_box(spot, size))
        found.append(spot)
    return tuple(found)


def _spots(point: Point, size: Point, gap: float, index: int, within: Box) -> Iterator[Point]:
    """Yield places for a label, the nearest first; each ring starts on another side."""
    if not gap:
        yield point
    left, top, right, bottom = within
    for ring in range(math.ceil((right - left + bottom - top) / _STEP_MM)):
        reach = gap + _STEP_MM * (ring if gap else ring + 1)
        for turn in range(_TURNS):
            angle = 2 * math.pi * (turn + index % 2 * _TURNS / 2) / _TURNS
            # Text is wide and low: it goes farther sideways than up.
            across = reach + (size[0] / 2 if gap else 0.0)
            down = reach + (size[1] / 2 if gap else 0.0)
            yield point[0] + across * math.cos(angle), point[1] - down * math.sin(angle)


def _box(middle: Point, size: Point) -> Box:
    (x, y), (width, height) = middle, size
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


def _fits(
    box: Box, within: Box, taken: Sequence[Box], clear: Sequence[Point], clear_mm: float
) -> bool:
    left, top, right, bottom = box
    if left < within[0] or top < within[1] or right > within[2] or bottom > within[3]:
        return False
    if any(left < b[2] and b[0] < right and top < b[3] and b[1] < bottom for b in taken):
        return False
    return not _covers(box, clear, clear_mm)


def _covers(box: Box, points: Sequence[Point], around: float) -> bool:
    left, top, right, bottom = box
    return any(
        left - around < x < right + around and top - around < y < bottom + around for x, y in points
    )
