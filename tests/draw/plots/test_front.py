"""The front: every choice lettered, listed with its reason, and told."""

from __future__ import annotations

from itertools import combinations
from math import dist

import pytest
from lawful import lawful
from small_tunes import tune_of

from harmonykit.arrange.choices import Front, Point
from harmonykit.arrange.front import pareto_front
from harmonykit.draw.base.colours import PALETTES
from harmonykit.draw.plots.front import draw_front
from harmonykit.draw.tree import Path
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE = Instrument.named("ukulele")
EDGES = (2.0, 2.0, 2.5, 5.5)


@pytest.fixture(scope="module")
def front() -> Front:
    return pareto_front(tune_of("| Gm6 | Bb7 | Eb6 | D7 | Gm6 | Cm6 | F7 | Bb6 | Gm6 |"), UKULELE)


def made(front: Front, *triples: tuple[int, int, int]) -> Front:
    one = front.points[0].arrangement
    return Front(tuple(Point(one, values) for values in triples))


@pytest.mark.parametrize("width", [90.0, 152.0, 174.0])
def test_every_choice_has_its_letter_twice_its_reason_and_its_numbers(
    front: Front, width: float
) -> None:
    figure = draw_front(front, width_mm=width)
    assert figure.width_mm == width
    texts, count = figure.sheet.texts, len(front.choices())
    together = " ".join(texts)
    assert count > 2
    for letter, point in zip("ABCDEFG", front.choices(), strict=False):
        assert texts.count(letter) == 2 and f"choice-{letter}" in figure.sheet.ids
        assert point.aim in together
        assert all(str(value) in texts for value in point.values)
    assert "complete" in figure.alt and "and is complete" in together
    lawful(figure, EDGES)
    # No disc touches another, or hides a ring.
    shapes = figure.sheet.all(Path)
    rings = [shape.box.middle for shape in shapes if shape.fill == "paper" and shape.stroke]
    named = [f"choice-{letter}" for letter in "ABCDEFG"[:count]]
    drawn = [shape for name in named for shape in figure.sheet.all(Path, within=name)]
    discs = [shape.box.middle for shape in drawn if shape.fill == "ink"]
    assert len(discs) == count
    assert all(dist(one, other) > 7 for one, other in combinations(discs, 2))
    assert all(dist(disc, spot) > 3.4 for disc in discs for spot in rings[:-1])


def test_it_is_the_same_in_every_palette_but_for_colours(front: Front) -> None:
    figures = [draw_front(front, palette=name) for name in PALETTES]
    assert len({figure.sheet for figure in figures}) == 1


def test_a_bounded_front_says_by_how_much(front: Front) -> None:
    figure = draw_front(Front(front.points, True, (3, 40, 0)))
    assert "at most 3 semitones and 40 mm" in " ".join(figure.sheet.texts)
    assert "not complete" in figure.alt


@pytest.mark.parametrize("most", [0, 8])
def test_there_are_seven_letters(front: Front, most: int) -> None:
    with pytest.raises(HarmonyError, match="choices of"):
        draw_front(front, most=most)
    with pytest.raises(HarmonyError, match="7 choices of 0 points"):
        draw_front(Front(()))
    with pytest.raises(HarmonyError, match="too narrow"):
        draw_front(front, width_mm=89)


def test_what_is_not_chosen_is_a_ring_and_the_key_says_so(front: Front) -> None:
    points = made(front, (0, 20, 0), (10, 10, 1), (20, 0, 2))
    assert "also on the Pareto front" in draw_front(points, most=1).sheet.texts
    assert "also on the Pareto front" not in draw_front(points).sheet.texts


def test_it_says_where_the_way_bends(front: Front) -> None:
    """By hand: 100 mm for 20 semitones; at the bend 80 of them for 5, before it 30 for 4."""
    points = made(front, (0, 200, 0), (4, 170, 0), (5, 120, 0), (20, 100, 0))
    figure = draw_front(points)
    said = (
        "From A to D the hand travels 100 mm less, and the voices move 20 semitones more. "
        "The curve bends at C: 80 mm less for 5 semitones more."
    )
    assert figure.alt.endswith(said) and said in " ".join(figure.sheet.texts)
    ends = draw_front(Front(points.points[::3])).alt
    assert ends.endswith("move 20 semitones more.")
    assert draw_front(Front(points.points[:1])).alt.endswith(
        "Arrangement A moves the voices and the hand least."
    )
