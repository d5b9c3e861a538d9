"""Labels stand near their points and never upon each other."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from harmonykit.draw.plots.frame import place_labels

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
