"""Every shape of a handout is shown once, with fingers and notes."""

from __future__ import annotations

import pytest

from harmonykit.fretboard.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout_figures import Figures
from harmonykit.lesson.handout_shapes import new_shapes
from harmonykit.lesson.model import Lesson
from harmonykit.paths import find_data

UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def shipped() -> Lesson:
    return load_lesson(find_data("lessons", "diminished_bridge"))


def test_each_shape_once_at_the_level_that_brings_it(shipped: Lesson) -> None:
    figures, known = Figures(), set()
    found = [new_shapes(played.arrangement, known, figures) for played in shipped.played]
    orders = [box["order"] for shapes in found if shapes for box in shapes["boxes"]]
    digits = [order.split()[-1] for order in orders]
    played = {v.digits for one in shipped.played for v in one.arrangement.shapes}
    assert sorted(digits) == sorted(played) and len(set(digits)) == len(digits)
    first = {v.digits for v in shipped.played[0].arrangement.shapes}
    assert found[0] is not None and len(found[0]["boxes"]) == len(first)


def test_fingers_and_notes(shipped: Lesson) -> None:
    """G7 as 0-2-1-2 is held by index, middle and ring (common practice, no source) and sounds
    G D F B (by arithmetic)."""
    figures = Figures()
    shapes = new_shapes(shipped.played[0].arrangement, set(), figures)
    assert shapes is not None and "index finger" in shapes["note"]
    (key,) = [box["box"] for box in shapes["boxes"] if box["order"].endswith("0-2-1-2")]
    svg = figures.table()[key]["svg"]
    texts = [part.split("<")[0] for part in svg.split(">") if part.split("<")[0].strip()]
    assert {"1", "2", "3", "G", "D", "F", "B", "G7"} <= set(texts)


@pytest.mark.parametrize("large, columns", [(False, 7), (True, 3)])
def test_rows_are_no_wider_than_the_page(shipped: Lesson, large: bool, columns: int) -> None:
    """Boxes of four strings are 27 mm wide, 54 in large print, and may share 2.8 of their sides'
    12 (5.6 of 24): on 174 mm seven and three of them."""
    shapes = new_shapes(shipped.played[0].arrangement, set(), Figures(large=large))
    assert shapes is not None and shapes["columns"] == columns
