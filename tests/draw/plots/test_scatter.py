"""Marks over two measures: each at its values, none on another, its numbers in the list."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lawful import ink, is_round, lawful, meet

from harmonykit.draw.plots.scatter import MARK_MM, Kind, Mark, draw_marks
from harmonykit.draw.tree import Group, Path, Sheet, Text

WIDTHS = (90.0, 152.0, 174.0)
EDGES = (2.0, 2.0, 2.5, 5.5)


def sheet_of(*marks: Mark, width: float = 152.0) -> Sheet:
    return draw_marks(marks, "marks", "marks", told=["What to see."], width_mm=width).sheet


def lettered(*triples: tuple[int, int, int]) -> list[Mark]:
    return [
        Mark(values, letter, f"choice {letter}", "disc", part=f"choice-{letter}")
        for letter, values in zip("ABCDEFG", triples, strict=False)
    ]


def mark_spots(sheet: Sheet) -> dict[str, tuple[float, float]]:
    groups = (g for g in sheet.all(Group) if g.id.startswith("choice-"))
    return {g.id[-1]: g.parts[0].box.middle for g in groups}


@pytest.mark.parametrize("width", WIDTHS)
def test_marks_stand_in_proportion_between_their_ticks(width: float) -> None:
    """Values 0, 10 and 20 on both axes: ends and middle, as far apart across as up."""
    dots = [Mark((10 * n, 20 - 10 * n, n)) for n in range(3)]
    sheet = sheet_of(*dots, width=width)
    found = [p.box.middle for p in sheet.all(Path) if p.fill == "paper" and p.width == 0.33][:3]
    (a, b, c) = found
    assert b[0] - a[0] == pytest.approx(c[0] - b[0]) and b[0] - a[0] > 20
    assert b[1] - a[1] == pytest.approx(c[1] - b[1]) and b[1] - a[1] > 20
    ticks = {(t.text, round(t.x, 3)) for t in sheet.all(Text) if t.anchor == "center"}
    assert {("0", round(a[0], 3)), ("10", round(b[0], 3)), ("20", round(c[0], 3))} <= ticks


@settings(max_examples=25)
@given(
    st.lists(st.tuples(*[st.integers(0, 9)] * 3), min_size=1, max_size=7),
    st.sampled_from(WIDTHS),
)
def test_no_two_marks_touch_and_one_that_gave_way_is_tied(
    triples: list[tuple[int, int, int]], width: float
) -> None:
    sheet = sheet_of(*lettered(*triples), width=width)
    spots = mark_spots(sheet)
    assert len(spots) == len(triples)
    for one, other in itertools.combinations(spots.values(), 2):
        assert max(abs(one[0] - other[0]), abs(one[1] - other[1])) > MARK_MM
    ties = [p.ends for p in sheet.parts if isinstance(p, Path) and p.width == 0.25 and p.stroke]
    at = [p.box.middle for p in sheet.parts if isinstance(p, Path) and p.fill == "ink"]
    tied = 0
    for spot in spots.values():
        starts = [start for start, end in ties if math.dist(end, spot) < 1e-6]
        tied += len(starts)
        assert all(min(math.dist(start, each) for each in at) < 1e-6 for start in starts)
    # Of those with the same values all but one give way.
    assert tied >= len(triples) - len({values[:2] for values in triples})


@pytest.mark.parametrize("across", [4, 10])
def test_a_mark_and_its_ring_stand_above_the_axis(across: int) -> None:
    """A dot at 0 lies on the axis; a mark just above it gives way upwards, ring and air and all."""
    sheet = sheet_of(Mark((0, 0, 0)), Mark((20, 20, 0)), *lettered((across, 1, 0)), width=90.0)
    dots = [p.box.middle for p in sheet.all(Path) if p.fill == "paper" and p.width == 0.33]
    axis, (_, spot) = max(y for _, y in dots[:2]), mark_spots(sheet)["A"]
    assert spot + MARK_MM / 2 + 1.2 <= axis - 0.5


@pytest.mark.parametrize("width", WIDTHS)
def test_it_keeps_the_laws_of_figures(width: float) -> None:
    marks = [
        Mark((86, 201, 0), "0", "as written", "open", "dashed"),
        Mark((116, 301, 13), "1", "usual 1", "square", "solid"),
        *lettered((72, 147, 4), (72, 196, 2), (110, 70, 1)),
        Mark((80, 105, 1)),
    ]
    figure = draw_marks(marks, "marks", "marks", told=["What to see."], width_mm=width)
    lawful(figure, EDGES)
    texts = [t for t in figure.sheet.all(Text) if t.text in ("0", "1", "A", "B", "C")]
    assert all(not meet(ink(a), ink(b), 0.5) for a, b in itertools.combinations(texts, 2))


@pytest.mark.parametrize("width", WIDTHS)
def test_the_list_has_the_numbers_in_columns_and_the_least_bold(width: float) -> None:
    triples = [(10, 30, 50), (11, 29, 51), (12, 28, 52)]
    sheet = sheet_of(*lettered(*triples), width=width)
    (listed,) = [g for g in sheet.all(Group) if g.id == "list"]
    texts = [p for p in listed.parts if isinstance(p, Text)]
    for column, head in enumerate(("semitones", "mm", "added")):
        (title,) = [t for t in texts if t.text == head]
        below = [t for t in texts if t.box.right == pytest.approx(title.box.right) and t != title]
        assert [t.text for t in below] == [str(values[column]) for values in triples]
    assert {t.text for t in texts if t.weight == 600 and t.text.isdigit()} == {"10", "28", "50"}
    names = [t for t in texts if t.text.startswith("choice")]
    assert [t.text for t in names] == ["choice A", "choice B", "choice C"]


@pytest.mark.parametrize(
    ("values", "ticks"),
    [
        # By hand: at most five steps of 1, 2 or 5 with noughts, which hold all values.
        ((0, 5), ["0", "1", "2", "3", "4", "5"]),
        ((0, 6), ["0", "2", "4", "6"]),
        ((13, 27), ["10", "15", "20", "25", "30"]),
        ((120, 980), ["0", "200", "400", "600", "800", "1000"]),
        ((7, 7), ["7", "8"]),
    ],
)
def test_ticks_are_round_numbers(values: tuple[int, int], ticks: list[str]) -> None:
    sheet = sheet_of(*(Mark((value, 0, n)) for n, value in enumerate(values)))
    assert [t.text for t in sheet.all(Text) if t.anchor == "center"] == ticks


def groups(sheet: Sheet) -> dict[str, Group]:
    return {g.id: g for g in sheet.all(Group) if g.id}


KINDS: tuple[Kind, ...] = ("disc", "square", "open", "dot")
# How wide what is seen of a mark is: all with a letter alike, a dot less than half of it.
SEEN = {"disc": 5.0, "square": 5.0, "open": 5.0, "dot": 2.1}


def test_marks_are_equally_large_with_an_area_to_click_and_a_ring_that_clears_them() -> None:
    marks = [
        Mark((10 * n, 10 * n, n), "" if kind == "dot" else "1", "", kind, ring, f"p-{kind}", kind)
        for n, (kind, ring) in enumerate(zip(KINDS, ("", "solid", "dashed", "solid"), strict=True))
    ]
    sheet = sheet_of(*marks)
    for mark in marks:
        group = groups(sheet)[mark.part]
        assert group.alt == mark.kind
        hit, *drawn = (p for p in group.parts if isinstance(p, Path))
        rings = [p for p in drawn if p.role == "ring"]
        (shown,) = (p for p in drawn if p.role != "ring")
        wide = shown.box.width + (shown.width if shown.stroke else 0.0)
        assert wide == pytest.approx(SEEN[mark.kind], abs=0.05)
        # What is clicked is a little larger than what is seen, and no larger than its ring.
        assert hit.role == "hit" and not hit.fill and not hit.stroke
        assert 0.4 < hit.box.width - wide < 1.6
        assert hit.box.middle == pytest.approx(shown.box.middle)
        assert len(rings) == bool(mark.ring)
        for ring in rings:
            assert bool(ring.dash) == (mark.ring == "dashed")
            assert 0.5 < (ring.box.width - ring.width - wide) / 2 < 1.0
            assert ring.box.middle == pytest.approx(shown.box.middle)
        looks = {"disc": "ink", "square": "ink", "open": "paper", "dot": "paper"}
        assert shown.fill == looks[mark.kind]
        assert is_round(shown) == (mark.kind in ("disc", "dot"))


def test_marks_lie_over_dots_and_what_is_shown_over_all() -> None:
    """Three at one place: the dot first, then the letter, then what has a ring."""
    marks = [
        Mark((5, 5, 0), "", "", "dot", "solid", "shown"),
        Mark((5, 5, 0), "A", "a", "disc", "", "lettered"),
        Mark((5, 5, 0), "", "", "dot", "", "dot"),
        Mark((0, 0, 0)),
        Mark((9, 9, 0)),
    ]
    assert [name for name in sheet_of(*marks).ids if name != "list"] == [
        "dot",
        "lettered",
        "shown",
    ]


@pytest.mark.parametrize("width", WIDTHS)
def test_the_list_has_even_rows_that_grow_with_their_names(width: float) -> None:
    """Rows 7.4 mm high or as the lines of a name need; numbers and mark level with its first."""
    names = ["one", "a name that is so long that it will not stand in one line of the list " * 2]
    marks = [Mark((n, n, n), "ABC"[n], name, "disc") for n, name in enumerate([*names, "three"])]
    (listed,) = [g for g in sheet_of(*marks, width=width).all(Group) if g.id == "list"]
    hairs = [p for p in listed.parts if isinstance(p, Path) and p.stroke == "hair"]
    left = width - 80 if width >= 136 else 0.0
    assert {(p.box.left, p.box.right) for p in hairs} == {(left, width)}
    tops = [p.box.top for p in hairs]
    texts = [p for p in listed.parts if isinstance(p, Text)]
    heads = [t for t in texts if t.size == 8.0]
    assert 1.0 < tops[0] - heads[0].baseline < 2.0
    lines = [t for t in texts if t.size == 8.5]
    assert {round(t.x - left, 3) for t in lines} == {8.0}
    rows = [
        [t for t in lines if top < t.baseline < below]
        for top, below in itertools.pairwise([*tops, 999.0])
    ]
    assert [" ".join(t.text for t in row) for row in rows] == [m.name.strip() for m in marks]
    assert tops[1] - tops[0] == pytest.approx(7.4)
    many = rows[1]
    assert len(many) > 2
    steps = [b.baseline - a.baseline for a, b in itertools.pairwise(many)]
    assert steps == pytest.approx([3.9] * len(steps))
    assert tops[2] - tops[1] == pytest.approx(3.9 * len(many) + 2.4)
    # The last line has air before the next row; none comes near the numbers.
    assert 1.0 < tops[2] - many[-1].baseline < 2.4
    numbers = [t for t in texts if t.size == 10.0 and t.anchor == "right"]
    for top, row, mark in zip(tops, rows, marks, strict=True):
        level = [t for t in numbers if abs(ink(t).middle[1] - top - 3.7) < 0.1]
        assert [t.text for t in level] == [str(value) for value in mark.values]
        assert abs(ink(row[0]).middle[1] - top - 3.7) < 0.1
        assert min(t.box.left for t in level) - max(t.box.right for t in row) > 10
        discs = [p for p in listed.parts if isinstance(p, Path) and is_round(p)]
        assert any(p.box.middle == pytest.approx((left + 3.0, top + 3.7)) for p in discs)
    right = [round(width - t.x, 3) for t in heads]
    assert right == [22.5, 12.5, 0.5]


def test_beside_a_long_list_the_marks_have_more_room() -> None:
    """From 62 mm, which they have at the least, to 96; a list below them gives them none."""

    def up(count: int, width: float) -> float:
        marks = [Mark((n, n, n), str(n), f"number {n}", "square") for n in range(count)]
        sheet = sheet_of(*marks, width=width)
        ticks = [t for t in sheet.all(Text) if t.anchor == "right" and t.size == 8.0 and t.x < 9]
        spots = [ink(t).middle[1] for t in ticks]
        return max(spots) - min(spots)

    assert [up(count, 152.0) for count in (2, 8, 11, 30)] == pytest.approx([62, 62, 68.8, 96])
    assert up(30, 90.0) == pytest.approx(62)


CROWDS = {
    "all at one corner": [(0, 0, n) for n in range(7)],
    "two at a corner": [(0, 0, n) for n in range(4)] + [(1, 0, n) for n in range(3)],
    "three by three": [(n % 3, n // 3, 0) for n in range(7)],
    "at both ends": [(0, 20, n) for n in range(3)] + [(20, 0, n) for n in range(4)],
}


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("crowd", CROWDS)
def test_seven_marks_find_room_however_they_crowd(crowd: str, width: float) -> None:
    others = [Mark((n % 5, 3 * (n % 7), n)) for n in range(20)]
    sheet = sheet_of(*lettered(*CROWDS[crowd]), *others, width=width)
    spots = mark_spots(sheet)
    assert len(spots) == 7
    for one, other in itertools.combinations(spots.values(), 2):
        # Between two marks the ring of one has room.
        assert max(abs(one[0] - other[0]), abs(one[1] - other[1])) >= MARK_MM + 2.4 - 1e-9
    ground = max(t.baseline for t in sheet.all(Text) if t.anchor == "center" and t.size == 8.0)
    assert all(y + MARK_MM / 2 < ground - 4.6 for _, y in spots.values())
    right = width - 85 if width >= 136 else width
    assert all(x + MARK_MM / 2 + 1.2 <= right + 1e-9 for x, _ in spots.values())


@pytest.mark.parametrize("count", [2, 3])
def test_a_mark_gives_way_by_no_more_than_a_mark_and_its_ring_need(count: int) -> None:
    """By hand: 7.4 mm from the first, in steps of 1.6 of rings: at 8 mm, to the left first."""
    far = [Mark((0, 0, 0)), Mark((20, 20, 0))]
    spots = mark_spots(sheet_of(*far, *lettered(*[(10, 10, n) for n in range(count)])))
    first, *others = spots.values()
    assert math.dist(first, others[0]) == pytest.approx(8.0)
    assert others[0][1] == pytest.approx(first[1]) and others[0][0] < first[0]
    for spot in others[1:]:
        assert math.dist(first, spot) == pytest.approx(8.0)
