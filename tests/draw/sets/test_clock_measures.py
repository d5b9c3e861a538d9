"""The measures of the clock: a ring of 31.5 mm about the middle of 81, worked by hand."""

from __future__ import annotations

import math

import pytest
from lawful import ink

from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.sets.clock import ClockLook, draw_clock
from harmonykit.draw.tree import Mark, Path, Point, Text

MIDDLE = 40.5


def polar(point: Point) -> tuple[float, float]:
    """Return how far a point lies from the middle, and its angle from the top, to the right."""
    x, y = point[0] - MIDDLE, point[1] - MIDDLE
    return math.hypot(x, y), math.degrees(math.atan2(x, -y)) % 360


def reach(path: Path) -> tuple[float, float, float]:
    """Return the radius of an arc and the angles of its ends."""
    first, last = (polar(point) for point in path.ends)
    assert first[0] == pytest.approx(last[0])
    return round(first[0], 6), round(first[1], 6), round(last[1], 6)


def test_the_ring_has_twelve_arcs_between_the_letters() -> None:
    clock = draw_clock("C E G")
    assert (clock.width_mm, clock.height_mm) == (81.0, 81.0)
    arcs = [p for p in clock.sheet.all(Path) if p.stroke == "hair"]
    assert [reach(arc) for arc in arcs] == [
        (31.5, pytest.approx(30 * pc + 8.2), pytest.approx(30 * pc + 21.8)) for pc in range(12)
    ]
    assert {arc.width for arc in arcs} == {0.2}
    for pc in range(12):
        middle = clock.sheet.find(f"pc-{pc}").box.middle
        marks = clock.sheet.all(Mark, within=f"pc-{pc}")
        (text,) = clock.sheet.all(Text, within=f"pc-{pc}")
        spot = (marks[0].x, marks[0].y) if marks else (text.x, ink(text).middle[1])
        assert polar(spot) == (
            pytest.approx(31.5, abs=0.02),
            pytest.approx(30 * pc, abs=0.05) if pc else pytest.approx(polar(spot)[1]),
        )
        assert math.dist(middle, spot) < 0.6
        if marks:
            assert marks[0].d == 6.6 and text.colour != "soft"
        else:
            assert (text.size, text.weight, text.colour) == (10.0, 400, "soft")


def test_edges_run_from_mark_to_mark_and_axes_within_the_ring() -> None:
    clock = draw_clock((0, 3, 6, 9), was=(0, 3, 6, 10), look=ClockLook(axes=True))
    (edges,) = clock.sheet.all(Path, "edge")
    (gone,) = clock.sheet.all(Path, "edge-gone")
    assert (edges.width, edges.dash, gone.width, gone.dash) == (0.45, (), 0.33, (0.95, 0.75))
    for path, pairs in ((edges, {(0, 3), (3, 6), (6, 9), (0, 9)}), (gone, {(6, 10), (0, 10)})):
        found = set()
        for stroke in path.strokes():
            ends = [polar(point) for point in stroke]
            assert [r for r, _ in ends] == pytest.approx([31.5, 31.5])
            found.add(tuple(round(angle / 30) % 12 for _, angle in ends))
        assert found == pairs
    for n in (0, 3, 6, 9):
        (axis,) = clock.sheet.all(Path, within=f"axis-{n}")
        one, other = (polar(point) for point in axis.ends)
        assert one == (pytest.approx(25), pytest.approx(15 * n % 360, abs=1e-6)) or n == 0
        assert other == (pytest.approx(25), pytest.approx(15 * n + 180))
        assert (axis.width, axis.stroke, axis.dash) == (0.25, "soft", (2.4, 0.8, 0.4, 0.8))


@pytest.mark.parametrize(
    ("move", "radius", "start", "end"),
    [
        # A step runs on the ring between the letters; more runs 6.2 mm outside it, to a degree.
        ((0, 1), 31.5, 8.2, 21.8),
        ((1, 0), 31.5, 21.8, 8.2),
        ((0, 2), 37.7, 1.0, 59.0),
        ((2, 0), 37.7, 59.0, 1.0),
        ((3, 8), 37.7, 91.0, 239.0),
        ((3, 9), 37.7, 89.0, 271.0),
    ],
)
def test_a_move_is_an_arrow_on_the_shorter_way(
    move: tuple[int, int], radius: float, start: float, end: float
) -> None:
    clock = draw_clock((move[1],), moved=move)
    (shaft,) = [p for p in clock.sheet.all(Path) if p.width == 0.65]
    (head,) = [p for p in clock.sheet.parts if isinstance(p, Path) and p.fill == "ink"]
    first, tip = polar(shaft.points[0]), polar(head.points[0])
    assert first == (pytest.approx(radius), pytest.approx(start))
    assert tip == (pytest.approx(radius), pytest.approx(end))
    middle = polar(shaft.points[len(shaft.points) // 2])[1]
    turns = (end - start) if move != (3, 9) else -178.0
    assert (middle - start + 180) % 360 - 180 == pytest.approx(turns / 2, abs=3)
    # On the ring the arrow has the place of an arc.
    arcs = [p for p in clock.sheet.all(Path) if p.stroke == "hair"]
    assert len(arcs) == (11 if radius == 31.5 else 12)


def test_title_and_subtitle_are_one_block() -> None:
    clock = draw_clock("D7", was="Adim7")
    title, below = (t for t in clock.sheet.all(Text) if t.text in ("D7", "E♭ falls to D"))
    assert (title.size, title.weight, title.colour) == (24.0, 600, "ink")
    assert (below.size, below.weight, below.colour) == (8.5, 400, "soft")
    assert below.baseline - title.baseline == pytest.approx(5.3)
    alone = draw_clock((), title="", subtitle="below")
    (text,) = [t for t in alone.sheet.all(Text) if t.text == "below"]
    # Nothing is in the way: it stands in the middle, 5.3 mm high.
    assert text.x == pytest.approx(MIDDLE) and text.baseline == pytest.approx(MIDDLE + 5.3 / 2)
    big = draw_clock((), title="C")
    (head,) = [t for t in big.sheet.all(Text) if t.size == 24.0]
    assert ink(head).middle == pytest.approx((MIDDLE, MIDDLE), abs=0.01)


TITLE = "A title that has no room in the ring of twelve marks, of whatever size it may be"


def test_a_long_title_is_set_smaller_and_cut_where_even_that_is_too_long() -> None:
    """By hand: 46 mm are free between the marks; 24 points, 17, 13, and 10 at the least."""
    for title, size in (
        ("F♯m7♭5", 24.0), ("C7(♭9,♯11)", 24.0), ("F♯m7♭5(add11)", 17.0), ("F♯m7♭5(add11)/G♯", 13.0),
        ("a title of some length", 13.0), ("a title of some more length", 10.0), (TITLE, 10.0),
    ):  # fmt: skip
        clock = draw_clock((), title=title, subtitle="a word " * 20)
        head, below = [t for t in clock.sheet.all(Text) if t.x == MIDDLE and t.text not in "CF♯"]
        assert head.size == size and head.box.width <= 46 and below.box.width <= 46
        larger = [s for s in (24.0, 17.0, 13.0) if s > size]
        assert all(text_width(title, s, 600) > 46 for s in larger)
        assert head.text == (title if title != TITLE else head.text.rstrip("…") + "…")
        assert clock.alt.startswith(f"On the clock of twelve notes, {title}: ")


@pytest.mark.parametrize(("pcs", "edges"), [((), 0), ((0,), 0), ((0, 7), 1), ((0, 4, 7), 3)])
def test_two_notes_are_joined_by_one_line(pcs: tuple[int, ...], edges: int) -> None:
    drawn = draw_clock(pcs).sheet.all(Path, "edge")
    assert sum(len(path.strokes()) for path in drawn) == edges
