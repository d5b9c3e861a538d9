"""The scatter of the front: every choice lettered, listed and told."""

from __future__ import annotations

import pytest
from small_tunes import tune_of

from harmonykit.arrange.choices import Front, Point
from harmonykit.arrange.front import pareto_front
from harmonykit.draw.plots.front import draw_front
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
    assert "complete" in figure.alt and "the front is complete" in " ".join(figure.sheet.texts)


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
