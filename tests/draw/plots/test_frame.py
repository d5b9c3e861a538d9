"""Labels stand near their points and never upon each other."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.draw.plots.frame import place_labels, round_ticks

ROOM = (0.0, 0.0, 200.0, 200.0)
spots = st.tuples(st.floats(40, 160), st.floats(40, 160))


@given(st.lists(spots, min_size=1, max_size=8), st.booleans())
def test_labels_do_not_overlap_and_stay_within(
    points: list[tuple[float, float]], beside: bool
) -> None:
    size = (6.0, 4.0)
    found = place_labels(points, [size] * len(points), within=ROOM, gap=1.0 if beside else 0.0)
    for index, (x, y) in enumerate(found):
        assert 3 <= x <= 197 and 2 <= y <= 198
        for a, b in found[:index]:
            assert abs(a - x) >= 6 - 1e-9 or abs(b - y) >= 4 - 1e-9


def test_a_label_keeps_off_points_and_lines_where_it_can() -> None:
    point = (100.0, 100.0)
    line = [(100.0 + n, 100.0) for n in range(60)]
    ((x, y),) = place_labels([point], [(8.0, 4.0)], within=ROOM, gap=1.0, rather_not=line)
    assert x < 100 or abs(y - 100) >= 2


def test_a_label_stands_on_its_point_or_a_gap_from_it_to_the_right_then_to_the_left() -> None:
    """Where nothing is in the way: the first to the right, the next one to the left."""
    point, size = (100.0, 100.0), (8.0, 4.0)
    assert place_labels([point], [size], within=ROOM) == (point,)
    one, other = place_labels([point, (100.0, 150.0)], [size, size], within=ROOM, gap=1.5)
    assert one == pytest.approx((100 + 1.5 + 4, 100))
    assert other == pytest.approx((100 - 1.5 - 4, 150))


def test_a_label_may_touch_the_edge_and_its_neighbour_but_no_point_that_is_to_be_clear() -> None:
    room = (0.0, 0.0, 20.0, 4.0)
    size = (10.0, 4.0)
    both = place_labels([(5.0, 2.0), (15.0, 2.0)], [size, size], within=room)
    assert both == ((5.0, 2.0), (15.0, 2.0))
    # A point to be clear lies under the place: the label goes on until it is clear of it.
    for around in (0.5, 3.0):
        ((x, y),) = place_labels(
            [(50.0, 50.0)], [size], within=ROOM, clear=[(50.0, 51.0)], clear_mm=around
        )
        assert abs(x - 50) >= 5 + around or abs(y - 51) >= 2 + around
        assert math.dist((x, y), (50, 50)) < 5 + around + 2.5
    # Without a gap its own point is no obstacle.
    assert place_labels([(50.0, 50.0)], [size], within=ROOM, clear=[(50.0, 50.0)])[0] == (50, 50)


def test_what_has_no_room_stands_on_its_point() -> None:
    assert place_labels([(5.0, 5.0)], [(50.0, 4.0)], within=(0.0, 0.0, 20.0, 20.0), gap=1.0) == (
        (5.0, 5.0),
    )


def test_a_label_that_covers_lines_everywhere_takes_the_nearest_place() -> None:
    every = [(float(x), float(y)) for x in range(0, 201, 2) for y in range(0, 201, 2)]
    ((x, y),) = place_labels([(100.0, 100.0)], [(8.0, 4.0)], within=ROOM, gap=1.0, rather_not=every)
    assert (x, y) == pytest.approx((105, 100))


def test_round_numbers_hold_all_values_in_five_steps_or_fewer() -> None:
    """1, 2 or 5 with noughts; by brute force no finer of them would do with five steps."""
    steps = [n * 10**power for power in range(6) for n in (1, 2, 5)]
    for low in (0, 1, 7, 99, 100, 1234):
        for wide in (0, 1, 4, 5, 6, 17, 50, 51, 499, 5001):
            ticks = round_ticks([low, low + wide])
            step = ticks[1] - ticks[0]
            assert step in steps and ticks[0] <= low and low + wide <= ticks[-1]
            assert [b - a for a, b in pairwise(ticks)] == [step] * (len(ticks) - 1)
            assert all(tick % step == 0 for tick in ticks) and len(ticks) <= 7
            finer = [s for s in steps if s < step]
            assert not finer or wide / finer[-1] > 5
            # No step is drawn that holds nothing.
            assert low - ticks[0] < step and ticks[-1] - (low + wide) < step or wide == 0
