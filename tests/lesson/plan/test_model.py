"""What a lesson is made of: what follows from its parts, and pairs that cannot be played."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Sheet
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import (
    Chart,
    Fact,
    Lesson,
    LessonError,
    Picture,
    Section,
    Table,
    Text,
)
from harmonykit.theory.chord import Chord


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Lesson:
    return load_lesson(write_lesson(tmp_path_factory.mktemp("model")))


def picture(name: str, count: int = 1) -> Picture:
    drawing = Drawing(Sheet(10.0, 10.0, (), alt="a figure"))
    return Picture((drawing,) * count, ("",) * count, name)


def test_one_drawing_is_one_file_and_several_are_counted_from_one() -> None:
    assert picture("clock").files == ("clock.svg",)
    assert picture("box", 3).files == ("box-1.svg", "box-2.svg", "box-3.svg")
    assert not picture("clock").moved


def test_the_lines_of_a_text_are_not_compared() -> None:
    assert Text("C6.", lines=(3,)) == Text("C6.", lines=(9,)) != Text("C6.", computed=True)
    assert Fact("C6.", "seen").line == 0


LOWER = Table(("Lower one note", "gives"), (("C", "B7"),))
OTHER = Table(("Gives", "Lower one note"), (("B7", "C"),))


@pytest.mark.parametrize(
    ("block", "lowers"),
    [
        (picture("lowered-1"), True), (picture("clock-lowered"), False), (LOWER, True),
        (OTHER, False), (Text("Lower one note"), False), (Chart(0), False),
    ],
)  # fmt: skip
def test_whether_the_text_shows_what_lowering_gives(
    small: Lesson, block: object, lowers: bool
) -> None:
    section = Section("One", (Text("Hold it."), block))  # type: ignore[arg-type]
    assert replace(small, sections=(Section("", ()), section)).lowers is lowers


def test_whether_the_text_shows_the_shapes_of_its_scale(small: Lesson) -> None:
    rows = (("G", "0-2-0-1"),)
    named = Table(("Chord", "Shape"), rows, small.front.scale.name)
    cases = {
        (picture("neck-1"),): True, (picture("staff-1"),): False, (named,): True,
        (replace(named, caption="Another scale"),): False, (replace(named, caption=""),): False,
        (Text(small.front.scale.name),): False, (Chart(0),): False, (): False,
    }  # fmt: skip
    for blocks, walks in cases.items():
        assert replace(small, sections=(Section("One", blocks),)).walks is walks, blocks


def test_a_level_is_not_played_with_a_shape_that_sounds_another_chord(small: Lesson) -> None:
    """0-0-0-0 on g4 C4 E4 A4 is C6 and Am7, not Gm6; the bar has its printed number."""
    (played,) = small.played
    wrong = Voicing.parse("0000", small.front.instrument)
    steps = played.arrangement.steps
    last = replace(steps[-1], chord=Chord.parse("Gm6"), voicing=wrong)
    assert last.bar == 3
    with pytest.raises(LessonError, match=r"Leading, bar 4: 0-0-0-0 does not sound Gm6") as caught:
        replace(played, arrangement=replace(played.arrangement, steps=(*steps[:-1], last)))
    assert caught.value.rule.startswith("it sounds G, C, E and A")
    assert caught.value.mend.startswith("Gm6 is 0-2-0-1")


def test_what_is_shown_of_a_level_is_what_sounds(
    small: Lesson, arranged: Callable[..., Arrangement]
) -> None:
    (played,) = small.played
    few = replace(played, arrangement=arranged("C6=0000 | NC | C7=3001 | G7=0212"))
    assert [(one.shape.digits, one.chord.symbol) for one in few.shown] == [
        ("0-0-0-0", "C6"), ("3-0-0-1", "C7"), ("0-2-1-2", "G7"),
    ]  # fmt: skip
    # C7 is C, E, G, B flat: 3-0-0-1 is B flat, C, E, B flat.
    assert few.notes == ("Without its fifth: C7 (3-0-0-1).",)
    noted = replace(few, arrangement=replace(few.arrangement, notes=("Fret 7 is needed.",)))
    assert noted.notes == ("Fret 7 is needed.", "Without its fifth: C7 (3-0-0-1).")
    whole = replace(played, arrangement=replace(arranged("C6=0000"), notes=("Slow.",)))
    assert whole.notes == ("Slow.",)


def test_the_header_has_no_shape_that_sounds_another_chord(small: Lesson) -> None:
    front = small.front
    with pytest.raises(HarmonyError, match="4-5-4-5 does not sound C6"):
        replace(front, shape_chord=Chord.parse("C6"))
    with pytest.raises(HarmonyError, match="0-0-0-0 does not sound Gm6"):
        replace(front, scale_shape=Voicing.parse("0000", front.instrument))
