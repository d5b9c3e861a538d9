"""The scatter of the front: every choice lettered, listed and told."""

from __future__ import annotations

import pytest
from small_tunes import tune_of

from harmonykit.arrange.choices import Front, Point
from harmonykit.arrange.front import pareto_front
from harmonykit.draw.plots.front import draw_front
from harmonykit.draw.tree import Path, Text
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
        "by 3 semitones, 40 mm at most" in " ".join(figure.sheet.texts) and "bounded" in figure.alt
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
