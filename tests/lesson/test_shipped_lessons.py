"""The lessons that ship: each builds, and nothing in its prose was typed that can be computed."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.grips import new_grips
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.lesson.statements.calls import CALL
from harmonykit.paths import find_data, shipped
from harmonykit.theory.chord import read_symbol

LESSONS = shipped("lessons")
NUMBERS = set("two three four five six seven eight nine ten eleven twelve".split())


def prose(name: str) -> list[str]:
    """Return the words of a lesson's text that no call put there."""
    _, body = read_lesson(find_data("lessons", name))
    lines = [line.lstrip("#") for line in body.lines]
    return re.findall(r"[\w♭♯°ø#-]+", CALL.sub(" ", "\n".join(lines)))


def is_typed(word: str) -> bool:
    """Whether a word names a number, a note, a shape or a chord."""
    if word.lower() in NUMBERS or re.search(r"[\d♭♯°ø#]", word) or re.fullmatch("[B-G]", word):
        return True
    if not re.match(r"[A-G][a-z+-]*\d*$", word) or word in ("A", "Do", "Go", "Add"):
        return False
    try:
        return read_symbol(word).chord is not None and len(word) > 1
    except HarmonyError:
        return False


def test_the_test_knows_what_is_typed() -> None:
    typed = ["2-3-2-3", "Am", "F♯", "Dm7", "four", "12", "Bb", "C", "Edim"]
    assert all(is_typed(word) for word in typed)
    assert not any(is_typed(word) for word in ["A", "Each", "Be", "chord", "one", "Asked", "Dig"])


@pytest.mark.parametrize("name", LESSONS)
def test_no_note_chord_fret_or_count_is_typed_by_hand(name: str) -> None:
    assert [word for word in prose(name) if is_typed(word)] == []


def test_lessons_ship_on_two_instruments() -> None:
    fronts = [read_lesson(find_data("lessons", name))[0] for name in LESSONS]
    assert {"stiff_dominant", "four_dominants", "scale_of_chords"} <= set(LESSONS)
    assert len({front.instrument.name for front in fronts}) >= 2


@pytest.mark.parametrize("name", LESSONS)
def test_it_builds_and_every_level_with_moves_adds_something(name: str) -> None:
    lesson = load_lesson(Path(find_data("lessons", name)))
    assert lesson.facts
    for played in lesson.played:
        assert bool(played.arrangement.added) == bool(played.level.moves), played.level.name
        for step in played.arrangement.added:
            assert step.chord is not None and step.voicing is not None
            whole = played.level.texture in ("", "any")
            assert step.voicing.pcs <= step.chord.pcs
            assert not whole or step.voicing.pcs == step.chord.pcs


MOST_NEW = (5, 5, 8)
"""Grips that a class can learn at each level, one by one (common practice, no source)."""


@pytest.mark.parametrize("name", LESSONS)
def test_no_level_asks_for_more_new_grips_than_a_class_can_learn(name: str) -> None:
    lesson = load_lesson(find_data("lessons", name))
    ways = [played.arrangement for played in lesson.played]
    new = [len(grips) for grips in new_grips(ways, lesson.front.knows)]
    limits = MOST_NEW + MOST_NEW[-1:] * len(new)
    assert all(count <= most for count, most in zip(new, limits, strict=False)), new
    assert new[0] >= 2


def test_the_line_walks_down_one_string_with_the_other_fingers_held() -> None:
    """What the lesson One voice moves is about is played in its second level."""
    way = load_lesson(find_data("lessons", "one_voice_moves")).played[1].arrangement
    frets = [step.voicing.frets for step in way.steps[:4] if step.voicing is not None]
    moved = {string for a, b in pairwise(frets) for string in range(4) if a[string] != b[string]}
    assert len(frets) == 4 and len(moved) == 1
    (string,) = moved
    line = [row[string] for row in frets]
    assert all(a is not None and b is not None and a - b == 1 for a, b in pairwise(line))
