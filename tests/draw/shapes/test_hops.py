"""The way of an arrow from mark to mark."""

from __future__ import annotations

import pytest

from harmonykit.draw.shapes.hops import hop


@pytest.mark.parametrize("end", [30.0, -30.0])
def test_where_there_is_room_an_arrow_is_straight(end: float) -> None:
    (x0, y0), (x1, y1) = hop((0, 4), (end, 4), 5, 2.7)
    assert y0 == y1 == 4
    # Clear of a mark of 5 mm at both ends, farther before the tip.
    assert 2.5 < abs(x0) < 3 and 3.5 < abs(end - x1) < 4.5
    assert (x1 - x0) * end > 0


@pytest.mark.parametrize("end", [6.0, -6.0])
def test_without_room_it_goes_over_the_top(end: float) -> None:
    points = hop((0, 4), (end, 4), 5, 2.7)
    assert points[0] == pytest.approx((0, 1.5))
    assert all(y <= 1.5 for _, y in points)
    # High enough to be seen, low enough for the string above, 8 mm away with marks of its own.
    assert -2.5 < min(y for _, y in points) < 0
    assert abs(points[-1][0] - end) < 0.5
