"""Labels stand near their points and never upon each other."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lawful import ink
from small_arrangements import _arranged
from survey_tables import surveyed

from harmonykit.arrange.gains_and_costs import Tradeoff
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.plots.frame import draw_grid, place_labels, round_ticks
from harmonykit.draw.plots.scatter import Mark, draw_marks
from harmonykit.draw.plots.survey_open import draw_open_shapes
from harmonykit.draw.plots.tradeoffs import draw_tradeoffs
from harmonykit.draw.tree import Path, Text
from harmonykit.errors import HarmonyError

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
    assert place_labels([(3.0, 2.0)], [(16.0, 4.0)], within=room, gap=1.0) == ((12.0, 2.0),)
    # A point to be clear lies under the place: the label goes on until it is clear of it.
    for around in (0.5, 3.0):
        ((x, y),) = place_labels(
            [(50.0, 50.0)], [size], within=ROOM, clear=[(50.0, 51.0)], clear_mm=around
        )
        assert abs(x - 50) >= 5 + around or abs(y - 51) >= 2 + around
        assert math.dist((x, y), (50, 50)) < 5 + around + 2.5
    # Of two at one point the second stands a step aside, to the left first.
    twice = place_labels([(50.0, 50.0)] * 2, [(1.0, 1.0)] * 2, within=ROOM)
    assert twice == ((50.0, 50.0), (pytest.approx(48.4), pytest.approx(50.0)))
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


def test_a_grid_has_level_lines_to_its_numbers_and_ticks_below() -> None:
    """By hand, ten mm a unit across from 20, five a unit up from 50."""
    canvas = Canvas(100, 70)
    draw_grid(canvas, lambda x, y: (20.0 + 10 * x, 50.0 - 5 * y), (0, 2, 4), (1, 3))
    sheet = canvas.drawing("grid", "grid").sheet
    lines = [(p.ends, p.width, p.stroke) for p in sheet.all(Path)]
    assert lines == [
        (((20, 45), (60, 45)), 0.15, "hair"),
        (((20, 35), (60, 35)), 0.15, "hair"),
        (((20, 45), (60, 45)), 0.25, "ink"),
        *((((x, 45), (x, 46.2)), 0.25, "ink") for x in (20, 40, 60)),
    ]
    texts = sheet.all(Text)
    assert {(t.size, t.colour, t.weight) for t in texts} == {(8.0, "soft", 400)}
    up, across = texts[:2], texts[2:]
    assert [(t.text, t.x, t.anchor) for t in up] == [("1", 18, "right"), ("3", 18, "right")]
    assert [ink(t).middle[1] for t in up] == [
        pytest.approx(45, abs=0.02),
        pytest.approx(35, abs=0.02),
    ]
    assert [(t.text, t.x, t.baseline, t.anchor) for t in across] == [
        (said, x, pytest.approx(49.6), "center") for said, x in (("0", 20), ("2", 40), ("4", 60))
    ]


# Of each figure, by hand: how wide its panels' axes are, where they begin, how high; where the
# words of the axes stand, from its corner and from the end of the axis.
PANELS = {
    "tradeoffs": ((9.0, 60.0, 6.5, 58.0), (3.2,), 9.0),
    "open": ((9.0, 59.0, 10.5, 50.0), (3.4, 7.6), 9.2),
    "marks": ((9.5, 53.5, 8.0, 62.0), (3.4,), 9.4),
}


@pytest.mark.parametrize("width", [152.0, 90.0])
@pytest.mark.parametrize("name", PANELS)
def test_panels_stand_beside_each_other_or_below_with_their_words(name: str, width: float) -> None:
    """Two panels 6 mm apart share 152 mm; on 90 mm each has all of it, a panel below the other."""
    (left, room, head, up), words, foot = PANELS[name]
    sheet = plot(name, width).sheet
    wide = 73.0 if name != "marks" else 67.0
    room += 0.0 if width == 152.0 else 90.0 - wide
    grounds = [
        p for p in sheet.all(Path) if p.width == 0.25 and p.stroke == "ink" and p.box.width > 40
    ]
    corners = [(0.0, 0.0)]
    if name != "marks":
        below = head + up + (11.0 if name == "tradeoffs" else 12.0)
        corners.append((79.0, 0.0) if width == 152.0 else (0.0, below))
    assert [(p.box.left, p.box.top, p.box.width) for p in grounds] == [
        pytest.approx((x + left, y + head + up, room)) for x, y in corners
    ]
    for (x, y), ground in zip(corners, grounds, strict=True):
        for down in words:
            at = (pytest.approx(x + 1.0), pytest.approx(y + down))
            assert [t for t in sheet.all(Text) if (t.x, t.baseline, t.anchor) == (*at, "left")]
        end = (pytest.approx(ground.box.right), pytest.approx(ground.box.top + foot))
        assert [t for t in sheet.all(Text) if (t.x, t.baseline, t.anchor) == (*end, "right")]
        # The highest line of the grid is as far up as the axis is high.
        level = [
            p.box.top
            for p in sheet.all(Path)
            if p.stroke == "hair"
            and (p.box.left, p.box.width) == (ground.box.left, ground.box.width)
        ]
        mine = [top for top in level if y < top <= ground.box.top]
        assert min(mine) == pytest.approx(ground.box.top - up)


@pytest.mark.parametrize("name", PANELS)
def test_a_figure_is_two_panels_wide_from_its_own_width_on(name: str) -> None:
    """Beside each other from 130 mm on, the list of marks from 136; no figure under 90 mm."""
    least = 136.0 if name == "marks" else 130.0
    highs = [plot(name, width).height_mm for width in (least - 0.1, least)]
    assert highs[0] > highs[1] + 20
    assert plot(name, 90.0).width_mm == 90.0
    with pytest.raises(HarmonyError, match="89.9 mm wide is too narrow"):
        plot(name, 89.9)


def plot(name: str, width: float) -> Drawing:
    if name == "open":
        return draw_open_shapes(surveyed(), "Oarlock Reel 37", width_mm=width)
    if name == "marks":
        marks = [Mark((n, n, n), "AB"[n], "name", "disc") for n in range(2)]
        return draw_marks(marks, "marks", "marks", told=["What to see."], width_mm=width)
    way = _arranged("C6=0000 | F=2010")
    found = [Tradeoff("plain", f"plain {n}", way, n, 9.0 + n, 4.0 + n) for n in range(2)]
    return draw_tradeoffs(found, width_mm=width)
