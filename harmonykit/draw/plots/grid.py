"""The axes of a panel: hairlines across with numbers at the left, ticks with numbers below."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.style import SMALL_PT, THIN_MM
from harmonykit.draw.tree import Point


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
    step = next(s for s in _STEPS if (high - low) / s <= 5)
    start = int(low // step * step)
    end = int(max(start + step, -(-high // step) * step))
    return list(range(start, end + 1, step))


_STEPS = [n * 10**power for power in range(12) for n in (1, 2, 5)]
