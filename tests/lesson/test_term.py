"""The plan of a term: weeks, what comes back, and what is gained, counted by other means."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.course import read_course
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.term import known_after, weeks_of, write_class, write_term
from harmonykit.tune.class_file import ClassFile, read_class

OURS = ClassFile.of("Ours", "ukulele", "C 0003", "F 2010", "G7 0212")
EASY = "| C | F | G7 | C |"


@pytest.fixture(scope="module")
def lessons() -> list[Lesson]:
    stiff, four = load_lesson("stiff_dominant"), load_lesson("four_dominants")
    return [stiff, replace(four, front=replace(four.front, plan="in a row"))]


def test_a_week_for_each_class_and_a_change_comes_back_after_one_two_and_four(
    lessons: list[Lesson], tmp_path: Path
) -> None:
    weeks = weeks_of(lessons)
    assert len(weeks) == 1 + len(lessons[1].played)
    rows = [
        row.strip("| ").split(" | ")
        for row in write_term("Spring", lessons, OURS, tmp_path).splitlines()
        if row[:3] in {f"| {n}" for n in range(1, 10)}
    ]
    hardest = [row[4] for row in rows]
    for number, row in enumerate(rows, 1):
        back = [hardest[number - 1 - ago] for ago in (1, 2, 4) if number > ago]
        assert [each in (row[5] if len(row) > 5 else "") for each in back] == [True] * len(back)


def test_what_is_gained_is_what_was_not_known(lessons: list[Lesson], tmp_path: Path) -> None:
    (tmp_path / "easy.toml").write_text(
        f'format = 1\ntitle = "Easy"\nkey = "C"\nmeter = "4/4"\n[[sections]]\nname = "A"\n'
        f'changes = "{EASY}"\n', encoding="utf-8"
    )  # fmt: skip
    weeks = weeks_of(lessons)
    after = known_after(weeks, OURS)
    for grip in after.grips[len(OURS.grips) :]:
        assert not OURS.knows(grip.shape)
    shapes = {shape for week in weeks for p in week.played for shape in p.arrangement.shapes}
    assert all(map(after.knows, shapes))
    term = write_term("Spring", lessons, OURS, tmp_path)
    assert "can play now: Easy." in term


def test_the_class_file_at_the_end_is_read_back(lessons: list[Lesson], tmp_path: Path) -> None:
    after = known_after(weeks_of(lessons), OURS)
    path = tmp_path / "class.toml"
    path.write_text(write_class(after), encoding="utf-8")
    again = read_class(path)
    assert all(again.knows(grip.shape) for grip in after.grips)
    assert (again.name, again.minutes) == (after.name, after.minutes)
    assert (again.lowest, again.highest) == (after.lowest, after.highest)


def test_a_course_names_its_class(tmp_path: Path) -> None:
    path = tmp_path / "term.toml"
    path.write_text(
        'format = 1\ntitle = "Spring"\nlessons = ["stiff_dominant"]\nclass_file = "ours.toml"\n',
        encoding="utf-8",
    )
    with pytest.raises(HarmonyError, match=r"missing beside term\.toml"):
        read_course(path)
    (tmp_path / "ours.toml").write_text(write_class(OURS), encoding="utf-8")
    knows = read_course(path).knows
    assert knows is not None and len(knows.grips) == 3
