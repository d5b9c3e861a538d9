"""The loop of a level as a cue has it: its two bars, what is held, what comes after them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sheets import placed, read
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.cues import _loop
from harmonykit.lesson.handout.typeset import Unset
from harmonykit.lesson.plan.model import Lesson


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Lesson:
    return load_lesson(write_lesson(tmp_path_factory.mktemp("cues")))


def loop(small: Lesson, way: Arrangement, tempo: float = 90) -> dict[str, Any]:
    level = replace(small.played[0].level, name="Level", tempo=tempo)
    played = replace(small.played[0], level=level, arrangement=way)
    front = replace(small.front, tune=way.tune)
    return _loop(replace(small, front=front, played=(played,)), 3, played)


def names(page: dict[str, Any]) -> list[list[tuple[float, str]]]:
    return [[(cell["at"], cell["name"]) for cell in bar["cells"]] for bar in page["bars"]]


def test_the_loop_ends_with_the_chord_that_is_hard_to_reach(
    small: Lesson, arranged: Arranged
) -> None:
    """Of these the change to E, all of whose strings are new, is the hardest."""
    page = loop(small, arranged("C=0003 | Am=2000 | C=0003 | E=4442 | E=4442 | Am=2000 | C=0003"))
    assert (page["number"], page["title"]) == (3, "Ebb at the Weir: Level")
    assert page["about"] == "bars 3 and 4, 90 beats a minute"
    assert names(page) == [[(0, "C")], [(0, "E")]]
    assert [bar["beats"] for bar in page["bars"]] == [4, 4]
    # What comes after the loop in another shape: A minor of bar 6.
    after = page["next"]
    assert (after["name"], after["bar"], after["added"]) == ("Am", "bar 6", False)
    assert after["hand"] and after["box"]["alt"]


def test_a_hard_change_in_the_first_bar_is_looped_with_the_second(
    small: Lesson, arranged: Arranged
) -> None:
    # A change over a bar line goes before a harder one within a bar, as on the sheet.
    page = loop(small, arranged("C=0003 E:2=4442 | E=4442 Am:3=2000 | C=0003"))
    assert page["about"].startswith("bars 2 and 3, ")
    page = loop(small, arranged("C=0003 E:2=4442 | E=4442 Am:3=2000 | Am=2000"))
    assert page["about"].startswith("bars 1 and 2, ")
    assert names(page) == [[(0, "C"), (0.5, "E")], [(0, "E"), (0.75, "Am")]]
    cells = [cell for bar in page["bars"] for cell in bar["cells"]]
    # The second E is held on from the first; each other shape is new.
    assert [cell["held"] for cell in cells] == [False, False, True, False]
    # Behind the bar of the hard change A minor comes next, though the loop has it.
    assert (page["next"]["name"], page["next"]["bar"]) == ("Am", "bar 2")


def test_the_same_shape_under_another_name_is_not_held(small: Lesson, arranged: Arranged) -> None:
    """C6 and A minor seventh are both 0-0-0-0; C may be held in another shape."""
    page = loop(small, arranged("C6=0000 Am7:2=0000 | C=0003 C:2=5433"))
    cells = [cell for bar in page["bars"] for cell in bar["cells"]]
    assert [cell["held"] for cell in cells] == [False] * 4


def test_a_tune_of_one_bar_and_one_without_a_change(small: Lesson, arranged: Arranged) -> None:
    page = loop(small, arranged("C=0003 F:2=2010"))
    assert page["about"] == "bar 1, 90 beats a minute" and len(page["bars"]) == 1
    assert page["next"] is None
    still = loop(small, arranged("C=0003 | C=0003 | C=0003"))
    assert still["about"] == "bars 1 and 2, 90 beats a minute" and still["next"] is None


def test_a_chord_of_half_a_beat_leaves_the_others_large(small: Lesson, arranged: Arranged) -> None:
    """Names keep two thirds of the size that they have without it, and all fingers can be read."""
    lasting = {}
    for at in ("2", "3.5"):
        page = loop(small, arranged(f"C=0003 Am:{at}=2000 | G7=0212 | C=0003"))
        pdf = Unset.of("cues", {"title": "Cues", "pages": [page]}).pdf()
        runs = placed(read(pdf).pages[0])
        sizes = {text: size for text, _, y, size, *_ in runs if y > 300}
        fingers = [size for text, _, y, size, *_ in runs if text.isdigit() and 190 < y < 330]
        lasting[at] = sizes["C"], sizes["Am"], min(fingers)
    (whole, _, large), (name, short, finger) = lasting["2"], lasting["3.5"]
    assert name > 0.66 * whole and short < name
    # Twelve points on a page of 320 mm are 2 cm high on a screen of 1.5 m.
    assert finger >= 12 and finger > 0.5 * large


def test_silence_is_named_and_what_was_added_is_told(small: Lesson, arranged: Arranged) -> None:
    way = arranged("C=0003 NC:2 | F=2010 | E=4442 | Am=2000", (3, 4))
    steps = list(way.steps)
    steps[-1] = replace(steps[-1], move="a move")
    page = loop(small, replace(way, steps=tuple(steps)))
    assert [bar["beats"] for bar in page["bars"]] == [3, 3]
    assert (page["next"]["name"], page["next"]["added"]) == ("Am", True)
    quiet = loop(small, arranged("C=0003 NC:2 | F=2010"))
    cells = [cell for bar in quiet["bars"] for cell in bar["cells"]]
    assert [(cell["name"], cell["box"] is None) for cell in cells] == [
        ("C", False), ("N.C.", True), ("F", False),
    ]  # fmt: skip
    assert not any(cell["added"] for cell in cells)
