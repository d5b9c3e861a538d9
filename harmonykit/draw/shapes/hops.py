"""The way of an arrow from one mark to another: straight where there is room, else over the top."""

import math

from harmonykit.draw.tree import Point

# From a mark's middle to where an arrow leaves or ends, as parts of the mark's d.
_LEAVE, _REACH = 0.52, 0.76
_RISE = 0.62


def hop(start: Point, end: Point, mark: float, least: float) -> list[Point]:
    """Return the points of an arrow between two marks at one height.

    Parameters
    ----------
    start, end : (float, float)
        The marks' middles, in mm.
    mark : float
        The marks' d, in mm.
    least : float
        A straight arrow shorter than this, in mm, is drawn as an arch above both marks.

    Examples
    --------
    >>> hop((0, 0), (20, 0), 5, 2.7)
    [(2.6, 0.0), (16.2, 0.0)]
    >>> len(hop((0, 0), (7, 0), 5, 2.7)) > 2
    True
    """
    (x0, y), (x1, _) = start, end
    way = math.copysign(1.0, x1 - x0)
    a, b = x0 + way * _LEAVE * mark, x1 - way * _REACH * mark
    if (b - a) * way >= least:
        return [(round(a, 3), float(y)), (round(b, 3), float(y))]
    foot = y - 0.5 * mark
    middle, half = (x0 + x1) / 2, (x1 - x0) / 2
    # Half an ellipse from crown to crown; it ends short of the mark, pointing down into it.
    turns = [math.pi * step / 14 for step in range(13)]
    return [
        (middle - half * math.cos(turn), foot - _RISE * mark * math.sin(turn)) for turn in turns
    ]
