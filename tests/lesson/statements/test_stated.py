"""What the finder finds, statements prove: the calls of each finding hold, and say as much."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import harmonykit as hk
from harmonykit.ideas.finding import Finding
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.statements.calls import answer_call
from harmonykit.lesson.statements.functions import Functions
from harmonykit.lesson.statements.stated import about_chords_alone, statements_of

# Kinds that no statement is about: tendencies, evenness, nearness, what is left over.
WITHOUT = {"how many", "in music", "how even", "nearest of its kind", "paths", "every other note",
           "left over", "on the strings", "in the hand"}  # fmt: skip


@pytest.mark.parametrize("source", ["Bdim7", "C+", "C6", "C whole tone"])
def test_each_finding_is_proved_by_the_statements_too(source: str) -> None:
    functions, stated = about_chords_alone(), set()
    for finding in hk.discover(source):
        for call in statements_of(finding):
            assert str(answer_call(functions, call)).endswith("."), (finding.statement, call)
            stated.add(finding.kind)
    assert stated and not stated & WITHOUT


def test_a_finding_is_stated_of_every_chord_that_it_names() -> None:
    """The six triads about C+ are counted by hand: a note of C, E, G sharp up or down."""
    six = next(each for each in hk.discover("C+") if each.statement.startswith("Six triads"))
    assert isinstance(six, Finding)
    made = {call.split('"')[3] for call in statements_of(six)}
    assert made == {"E", "Ab", "C", "C#m", "Fm", "Am"}


def test_what_does_not_hold_is_said_as_it_is_denied(
    tmp_path: Path, write_lesson: Callable[[Path], Path]
) -> None:
    lesson = load_lesson(write_lesson(tmp_path))
    calls = Functions(lesson.front, lesson.played)
    for about in (("same_notes", "C/D", "C"), ("contains", "C7", "F"), ("how_many_notes", "C6", 5)):
        denied = calls.judge(*about).denied
        said = str(calls.table()["not_so"](*about))
        assert said == f"{denied[0].upper()}{denied[1:].rstrip('.')}."
