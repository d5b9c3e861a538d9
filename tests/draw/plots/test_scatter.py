"""Marks over two measures: each at its values, none on another, its numbers in the list."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lawful import ink, lawful, meet

from harmonykit.draw.plots.scatter import MARK_MM, Mark, draw_marks
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
