"""A level that adds nothing is refused, with the rule that kept its moves out."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson

MOVES = 'moves = ["leading-tone diminished", "rootless dominant"]'


def changed(path: Path, *pairs: tuple[str, str], tune: str = "") -> Path:
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    if tune:
        fog = path.parent / "fog.toml"
        old = fog.read_text(encoding="utf-8")
        fog.write_text(old.replace("| Gm6 | Bb7 | Eb6 D7 | Gm6 |", tune), encoding="utf-8")
    return path


def refused(path: Path) -> HarmonyError:
    with pytest.raises(HarmonyError) as caught:
        load_lesson(path)
    return caught.value


def test_a_tempo_that_leaves_no_room_is_named(lesson_path: Path) -> None:
    """At 400 quarter notes a minute a half note lasts 0.3 seconds."""
    error = refused(changed(lesson_path, ("tempo = 120", "tempo = 400\nleast_seconds = 2.0")))
    assert error.what == "level 1, 'Leading', adds nothing to Four Bars of Fog"
    assert "a chord must last at least 2 s at this tempo" in error.rule
    assert "a tempo below 400 or a shortest chord below 2 s" in error.mend
    assert error.place is not None and error.place.text == MOVES


def test_a_tune_without_a_dominant_is_named(lesson_path: Path) -> None:
    path = changed(
        lesson_path, (MOVES, 'moves = ["tritone substitution"]'), tune="| Gm6 | Eb6 | Eb6 | Gm6 |"
    )
    error = refused(path)
    assert error.rule == "tritone substitution: the tune has no chord for it"
    # Neither a slower tempo nor more room on the neck would help.
    assert error.mend == "other moves or moves = [] for the tune as written"


def test_as_written_is_meant_so(lesson_path: Path) -> None:
    lesson = load_lesson(changed(lesson_path, (MOVES, "moves = []"), ("{{ added_chords(1) }}", "")))
    assert not lesson.played[0].arrangement.added


def test_a_level_that_adds_something_passes(lesson_path: Path) -> None:
    assert load_lesson(lesson_path).played[0].arrangement.added
