"""Every shape of a handout is shown once, with fingers and notes."""

from __future__ import annotations

import pytest

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.shapes import level_shapes
from harmonykit.lesson.plan.model import Lesson
from harmonykit.paths import find_data

UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def shipped() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


def test_each_shape_once_at_the_level_that_brings_it(shipped: Lesson) -> None:
    figures, known = Figures(), set()
    found = [level_shapes(played.arrangement, known, figures) for played in shipped.played]
    new = [box["digits"] for shapes in found if shapes for box in shapes["boxes"] if box["new"]]
    played = {v.digits for one in shipped.played for v in one.arrangement.shapes}
    assert sorted(new) == sorted(played)
    for shapes, one in zip(found, shipped.played, strict=True):
        assert shapes is not None
        needed = {v.digits for v in one.arrangement.shapes}
        assert sorted(box["digits"] for box in shapes["boxes"]) == sorted(needed)


def test_fingers_and_notes(shipped: Lesson) -> None:
    """Gm6 as 0-2-0-1 is held by index and middle (common practice, no source) and sounds
    G D E B♭ (by arithmetic)."""
    figures = Figures()
    shapes = level_shapes(shipped.played[0].arrangement, set(), figures)
    assert shapes is not None and "index finger" in shapes["note"]
    (key,) = [box["boxes"]["plain"] for box in shapes["boxes"] if box["digits"] == "0-2-0-1"]
    svg = figures.table()[key]["svg"]
    texts = [part.split("<")[0] for part in svg.split(">") if part.split("<")[0].strip()]
    assert {"1", "2", "G", "D", "E", "B♭", "Gm6"} <= set(texts)


@pytest.mark.parametrize(
    "large, columns", [(False, {"plain": 7, "chart": 10}), (True, {"plain": 4})]
)
def test_rows_are_no_wider_than_the_page(
    shipped: Lesson, large: bool, columns: dict[str, int]
) -> None:
    """Four strings take 15 mm and stand 9.2 apart; small ones 11.1 and 5.8; in large print 24 and
    14.7.  On 174 mm, with the sides of the outer boxes, seven, ten and four of them."""
    shapes = level_shapes(shipped.played[0].arrangement, set(), Figures(large=large))
    assert shapes is not None and shapes["columns"] == columns
