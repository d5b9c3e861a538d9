"""The tree answers where a part lies and which parts there are, by plain geometry."""

from __future__ import annotations

import math

import pytest

from harmonykit.draw.tree import (
    Box,
    Group,
    Mark,
    Path,
    Sheet,
    Text,
    polyline,
    renamed,
    ring,
    rounded,
)
from harmonykit.errors import HarmonyError

LINE = Path(polyline([(1, 2), (5, 8)]), stroke="ink", width=0.3, id="line-1", role="line")
DISC = Path(ring(10, 10, 4), fill="ink")
NAME = Text(10, 20, "C♯", 12, anchor="left")
MARK = Mark("root", 10, 10, 4, (DISC, NAME))
SHEET = Sheet(40, 30, (Group((LINE, MARK), id="both", role="pair"), NAME), "t", "a")


def test_a_part_says_where_it_lies() -> None:
    assert LINE.box == (1, 2, 5, 8) and LINE.ends == ((1, 2), (5, 8))
    assert DISC.box == pytest.approx((8, 8, 12, 12))
    assert Box(1, 2, 5, 8).middle == (3, 5)
    assert SHEET.find("both").box.left == 1
    assert NAME.box.left == 10 and NAME.box.top < 20 < NAME.box.bottom


@pytest.mark.parametrize(("anchor", "share"), [("left", 0), ("center", 0.5), ("right", 1)])
def test_a_text_hangs_from_its_anchor(anchor: str, share: float) -> None:
    box = Text(50, 20, "ninth", 12, anchor=anchor).box  # type: ignore[arg-type]
    assert box.left + share * box.width == pytest.approx(50)


def test_a_circle_keeps_its_distance_from_its_middle() -> None:
    """A cubic for each quarter is off by less than a thousandth of the radius."""
    at = (10.0, 8.0)
    for letter, points in ring(10, 10, 4)[1:-1]:
        assert letter == "C"
        for t in (0.25, 0.5, 0.75, 1):
            weights = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3]
            corners = [at, *points]
            x, y = (sum(w * p[i] for w, p in zip(weights, corners, strict=True)) for i in (0, 1))
            assert math.hypot(x - 10, y - 10) == pytest.approx(2, rel=1e-3)
        at = points[-1]


def test_a_round_box_has_straight_sides_between_its_corners() -> None:
    path = Path(rounded(1, 2, 10, 6, 1))
    assert path.box == (1, 2, 11, 8)
    assert (2, 2) in path.points and (10, 2) in path.points and (1, 2) not in path.points


def test_parts_are_found_by_id_kind_and_role() -> None:
    assert SHEET.find("line-1") is LINE
    assert SHEET.ids == ("both", "line-1") and SHEET.texts == ("C♯", "C♯")
    assert SHEET.all(Path, "line") == [LINE]
    assert SHEET.all(Text, within="both") == [NAME] and len(SHEET.all(Text)) == 2
    assert [mark.letter for mark in SHEET.all(Mark, "root")] == ["C♯"]
    assert SHEET.all(Mark, "third") == []
    with pytest.raises(HarmonyError, match=r"no part 'axis-1'(.|\n)*both, line-1"):
        SHEET.find("axis-1")


def test_what_is_moved_is_the_same_elsewhere() -> None:
    moved = SHEET.parts[0].moved(3, -1)
    was, now = SHEET.parts[0].box, moved.box
    assert now == pytest.approx((was.left + 3, was.top - 1, was.right + 3, was.bottom - 1))
    assert moved.moved(-3, 1).box == pytest.approx(was)
    assert MARK.moved(3, -1).x == 13


def test_strokes_are_the_polylines_of_a_path() -> None:
    both = Path((*polyline([(0, 0), (1, 0)]), *polyline([(0, 1), (1, 1), (2, 2)])))
    assert [len(stroke) for stroke in both.strokes()] == [2, 3]


def test_ids_go_behind_a_prefix_all_through() -> None:
    sheet = Sheet(1, 1, (renamed(SHEET.parts[0], "a-"),))
    assert sheet.ids == ("a-both", "a-line-1")


def test_a_path_that_says_nothing_of_it_is_opaque_and_unseen() -> None:
    bare = Path(polyline([(0, 0), (1, 0)]))
    assert (bare.opacity, bare.width, bare.fill, bare.stroke, bare.dash) == (1, 0, "", "", ())
    text = Text(0, 0, "C", 10)
    assert (text.weight, text.colour, text.anchor, text.italic) == (400, "ink", "center", False)
