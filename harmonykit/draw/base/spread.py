"""Where labels stand beside their points so that they do not lie upon each other.

Conventions.  Lengths in mm, y down; a label is a rectangle of given width and height about its
middle.
"""

import math
from collections.abc import Sequence

from harmonykit.draw.tree import Point

Box = tuple[float, float, float, float]

_RINGS, _TURNS, _NEAR = 14, 16, 48
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
        free = [
            spot
            for spot in _spots(point, size, gap, index)
            if _fits(_box(spot, size), within, taken, others, clear_mm)
        ]
        near = (s for s in free[:_NEAR] if not _covers(_box(s, size), rather_not, 0.0))
        spot = next(near, free[0] if free else point)
        taken.append(_box(spot, size))
        found.append(spot)
    return tuple(found)


def _spots(point: Point, size: Point, gap: float, index: int) -> list[Point]:
    """Return places for a label, the nearest first; each ring starts on another side."""
    spots: list[Point] = [] if gap else [point]
    for ring in range(_RINGS):
        reach = gap + _STEP_MM * (ring if gap else ring + 1)
        for turn in range(_TURNS):
            angle = 2 * math.pi * (turn + index % 2 * _TURNS / 2) / _TURNS
            # Text is wide and low: it goes farther sideways than up.
            across = reach + (size[0] / 2 if gap else 0.0)
            down = reach + (size[1] / 2 if gap else 0.0)
            spots.append((point[0] + across * math.cos(angle), point[1] - down * math.sin(angle)))
    return spots


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
