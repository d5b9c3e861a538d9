"""The scatter of the front: every choice lettered, listed and told."""

from __future__ import annotations

import itertools
import math

import pytest
from lawful import ink, lawful
from small_tunes import tune_of

from harmonykit.arrange.choices import Front, Point
from harmonykit.arrange.front import pareto_front
from harmonykit.draw.plots.front import draw_front
from harmonykit.draw.tree import Group, Path, Sheet, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def front() -> Front:
    return pareto_front(tune_of("| Gm6 | Bb7 | Eb6 | D7 | Gm6 | Cm6 | F7 | Bb6 | Gm6 |"), UKULELE)


def test_every_choice_has_its_letter_on_the_sheet_and_in_the_list(front: Front) -> None:
    figure = draw_front(front)
    count = len(front.choices())
    assert count > 2
    for letter in "ABCDEFG"[:count]:
        assert figure.sheet.texts.count(letter) == 2
        assert f"choice-{letter}" in figure.sheet.ids
    for point in front.choices():
        assert str(point.values[1]) in figure.sheet.texts
    assert "complete" in figure.alt and "the Pareto front is complete" in " ".join(
        figure.sheet.texts
    )


def test_a_bounded_front_says_by_how_much(front: Front) -> None:
    figure = draw_front(Front(front.points, True, (3, 40, 0)))
    assert (
        "by 3 semitones, 40 mm at most" in " ".join(figure.sheet.texts)
        and "not complete" in figure.alt
    )


def test_points_at_one_place_are_moved_apart(front: Front) -> None:
    one = front.points[0].arrangement
    points = tuple(Point(one, (10, 10, n)) for n in range(3))
    figure = draw_front(Front(points))
    assert figure.sheet.texts.count("A") == 2


@pytest.mark.parametrize("most", [0, 8])
def test_there_are_seven_letters(front: Front, most: int) -> None:
    with pytest.raises(HarmonyError, match="choices of"):
        draw_front(front, most=most)


def test_axes_and_their_titles_stand_where_they_are_laid(front: Front) -> None:
    """By hand: 82 mm across and 66 up, 17 from the left and 8 from the top."""
    sheet = draw_front(front).sheet
    axes = sheet.all(Path)[0]
    assert axes.points == ((17, 8), (17, 74), (99, 74))
    (up,) = [text for text in sheet.all(Text) if text.text == "mm that the hand travels"]
    (across,) = [t for t in sheet.all(Text) if t.text == "semitones that the voices move"]
    assert up.box.left == pytest.approx(1.0) and up.box.bottom < 8
    assert across.box.right == pytest.approx(99) and across.box.top > 74 + 4.8
    for text in sheet.all(Text):
        assert 0 <= text.box.left and text.box.right <= sheet.width
        assert 0 <= text.box.top and text.box.bottom <= sheet.height


def test_points_stand_in_proportion_between_their_ticks(front: Front) -> None:
    """Values 0, 10 and 20 on both axes: the least at the corner, the greatest at the far ends."""
    one = front.points[0].arrangement
    points = tuple(Point(one, (10 * n, 20 - 10 * n, n)) for n in range(3))
    sheet = draw_front(Front(points), most=1).sheet
    dots = [p.box.middle for p in sheet.all(Path) if p.fill == "paper" and p.stroke == "ink"]
    assert [x for x, _ in dots] == pytest.approx([17, 58, 99])
    assert [y for _, y in dots] == pytest.approx([8, 41, 74])
    ticks = {(t.text, round(t.x, 3)) for t in sheet.all(Text) if t.anchor == "center"}
    assert {("0", 17.0), ("10", 58.0), ("20", 99.0)} <= ticks
    assert "open: 2 more on the Pareto front" in sheet.texts
    alone = draw_front(Front(points[:1]), most=1).sheet
    assert not any(text.startswith("open:") for text in alone.texts)


def test_the_least_of_each_column_is_bold(front: Front) -> None:
    one = front.points[0].arrangement
    points = tuple(Point(one, (10 + n, 30 - n, 50 + n)) for n in range(3))
    sheet = draw_front(Front(points)).sheet
    bold = {t.text for t in sheet.all(Text) if t.weight == 600 and t.text.isdigit()}
    assert bold == {"10", "28", "50"}
    with pytest.raises(HarmonyError, match="7 choices of 0 points"):
        draw_front(Front(()))


def listed(sheet: Sheet) -> dict[str, list[Text]]:
    """Return the rows of the list: by its letter, the three numbers."""
    letters = [t for t in sheet.all(Text) if t.text in "ABCDEFG" and t.x > 110]
    return {
        letter.text: [
            t
            for t in sheet.all(Text)
            if t.anchor == "right"
            and t.x > 110
            and abs(ink(t).middle[1] - ink(letter).middle[1]) < 0.6
        ]
        for letter in letters
    }


def test_it_keeps_the_laws_of_figures(front: Front) -> None:
    lawful(draw_front(front), (1.1, 2, 2.5, 9))
    one = front.points[0].arrangement
    three = tuple(Point(one, (10 * n, 20 - 10 * n, n)) for n in range(3))
    lawful(draw_front(Front(three), most=1), (1.1, 2, 2.5, 9))


def test_ticks_are_even_short_and_outside_the_axes(front: Front) -> None:
    sheet = draw_front(front).sheet
    ticks = [
        p
        for p in sheet.all(Path)
        if p.stroke
        and len(p.points) == 2
        and p.width == 0.25
        and max(p.box.width, p.box.height) == pytest.approx(1.2)
    ]
    across = [p for p in ticks if p.box.width == 0]
    up = [p for p in ticks if p.box.height == 0]
    assert {p.box.top for p in across} == {74.0} and {p.box.right for p in up} == {17.0}
    for lines, numbers in (
        (
            [p.box.left for p in across],
            [t for t in sheet.all(Text) if t.anchor == "center" and 74 < t.baseline < 80],
        ),
        (
            [p.box.top for p in up],
            [t for t in sheet.all(Text) if t.size == 8 and t.anchor == "right" and t.x < 17],
        ),
    ):
        values = [int(t.text) for t in numbers]
        assert len(lines) == len(values) and 2 <= len(values) <= 7
        steps = {b - a for a, b in itertools.pairwise(values)}
        assert len(steps) == 1
        # A step of 1, 2 or 5 with noughts: common practice, no source.
        assert str(steps.pop()).rstrip("0") in ("1", "2", "5")
        gaps = [b - a for a, b in itertools.pairwise(lines)]
        assert all(gap == pytest.approx(gaps[0]) for gap in gaps)
    for text in (t for t in sheet.all(Text) if t.anchor == "center" and 74 < t.baseline < 80):
        assert min(abs(text.x - p.box.left) for p in across) < 0.01
        assert 0.5 < ink(text).top - 75.2 < 2.5
    for text in (t for t in sheet.all(Text) if t.size == 8 and t.anchor == "right" and t.x < 17):
        assert min(abs(ink(text).middle[1] - p.box.top) for p in up) < 0.1
        assert 0.5 < 15.8 - text.box.right < 2


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
def test_ticks_are_round_numbers(front: Front, values: tuple[int, int], ticks: list[str]) -> None:
    one = front.points[0].arrangement
    points = tuple(Point(one, (value, 0, n)) for n, value in enumerate(values))
    sheet = draw_front(Front(points), most=1).sheet
    said = [t.text for t in sheet.all(Text) if t.anchor == "center" and 74 < t.baseline < 80]
    assert said == ticks


def test_the_list_stands_in_columns_under_its_heads(front: Front) -> None:
    sheet = draw_front(front).sheet
    heads = [
        next(t for t in sheet.all(Text) if t.text == head) for head in ("semitones", "mm", "added")
    ]
    assert len({t.baseline for t in heads}) == 1
    assert [b.x - a.x for a, b in itertools.pairwise(heads)] == pytest.approx([18, 18])
    rows = listed(sheet)
    assert list(rows) == list("ABCDEFG"[: len(front.choices())])
    for (letter, row), point in zip(rows.items(), front.choices(), strict=True):
        assert [t.text for t in row] == [str(value) for value in point.values], letter
        assert [t.x for t in row] == [t.x for t in heads]
    lines = [row[0].baseline for row in rows.values()]
    steps = {round(b - a, 3) for a, b in itertools.pairwise(lines)}
    assert len(steps) == 1 and 6 < steps.pop() < 9
    assert lines[0] - heads[0].baseline == pytest.approx(lines[1] - lines[0])
    notes = [t for t in sheet.all(Text) if t.anchor == "left" and t.x > 110]
    assert notes[0].text == "bold: the least"
    assert 5 < notes[0].baseline - lines[-1] < 8
    assert all(3.8 < b.baseline - a.baseline < 5.5 for a, b in itertools.pairwise(notes))
    discs = [p for p in sheet.parts if isinstance(p, Path) and p.fill == "ink" and p.box.left > 100]
    assert len({p.box.middle[0] for p in discs}) == 1 and len(discs) == len(rows)
    for disc, row in zip(discs, rows.values(), strict=True):
        assert disc.box.width == pytest.approx(5) and disc.box.right + 5 < row[0].box.left
        letter = next(
            t
            for t in sheet.all(Text)
            if t.colour == "paper"
            and t.x == disc.box.middle[0]
            and abs(t.box.middle[1] - disc.box.middle[1]) < 1
        )
        assert ink(letter).middle[1] == pytest.approx(disc.box.middle[1], abs=0.1)


def test_a_disc_that_gave_way_is_tied_to_its_point(front: Front) -> None:
    one = front.points[0].arrangement
    points = tuple(Point(one, (10 + n % 2, 10, n)) for n in range(4))
    sheet = draw_front(Front(points)).sheet
    ties = [
        p
        for p in sheet.parts
        if isinstance(p, Path)
        and len(p.points) == 2
        and p.stroke == "ink"
        and max(p.box.width, p.box.height) > 1.3
        and p.width == 0.25
    ]
    groups = [g for g in sheet.all(Group) if g.id.startswith("choice-")]
    centres = [g.parts[0].box.middle for g in groups]
    at = [p.box.middle for p in sheet.all(Path) if p.fill == "paper" and p.stroke]
    away = [c for c in centres if min(math.dist(c, spot) for spot in at) > 0.01]
    assert len(away) == len(ties) > 0
    for tie in ties:
        start, end = tie.ends
        assert min(math.dist(start, spot) for spot in at) < 0.01
        assert min(math.dist(end, centre) for centre in away) < 0.01
    for one_, other in itertools.combinations(centres, 2):
        assert max(abs(one_[0] - other[0]), abs(one_[1] - other[1])) >= 5.6 - 1e-9
    assert all(
        p.box.width == pytest.approx(1.7) for p in sheet.all(Path) if p.fill == "paper" and p.stroke
    )
    for x, y in centres:
        assert 16 <= x - 2.5 and x + 2.5 <= 107 and 3 <= y - 2.5 and y + 2.5 <= 74


def test_it_says_where_the_way_bends(front: Front) -> None:
    """By hand: 100 mm for 20 semitones; at the bend 80 of them for 5, before it 30 for 4."""
    one = front.points[0].arrangement
    points = tuple(
        Point(one, values) for values in ((0, 200, 0), (4, 170, 0), (5, 120, 0), (20, 100, 0))
    )
    figure = draw_front(Front(points))
    said = (
        "From A to D the hand travels 100 mm less, and the voices move 20 semitones more. "
        "The way bends at C: 80 of these mm for 5 of the semitones."
    )
    assert figure.alt.endswith(said) and said in " ".join(figure.sheet.texts)
    ends = draw_front(Front(points[::3])).alt
    assert ends.endswith("move 20 semitones more.")
    assert draw_front(Front(points[:1])).alt.endswith("A moves voices and hand the least.")
