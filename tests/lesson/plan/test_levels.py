"""What a level of a lesson may ask of the hand and of the search."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Level, Played
from harmonykit.lesson.plan.source import read_lesson


def level_with(path: Path, *lines: str) -> Level:
    _write(path, *lines)
    front, _ = read_lesson(path)
    return front.levels[0]


def played_with(path: Path, *lines: str) -> Played:
    _write(path, *lines)
    return load_lesson(path).played[0]


MOVES = 'moves = ["approach", "dominant to diminished"]'


def _write(path: Path, *lines: str) -> None:
    """Give the lesson one level, of these lines."""
    before, _, rest = path.read_text(encoding="utf-8").partition("[[levels]]")
    table = "\n".join(["[[levels]]", *lines])
    path.write_text(before + table + "\n+++" + rest.partition("\n+++")[2], encoding="utf-8")


def test_what_a_level_says_stands_for_what_its_hand_would(lesson_path: Path) -> None:
    """Defaults by level (common practice, no source): 5/7/12 frets, 67/80/98 mm."""
    assert level_with(lesson_path, "hand = 2", "tempo = 90").limits == Limits(
        7, 80.0, "half", reach_mm=88.0
    )
    own = level_with(
        lesson_path,
        *("hand = 2", "max_fret = 4", "stretch_mm = 60.5", 'barre = "none"', "tempo = 90"),
    )
    assert own.limits == Limits(4, 60.5, "none", reach_mm=88.0)
    assert own.least_seconds == 1.0 and own.preset == "usual"
    assert level_with(lesson_path, "hand = 3", 'barre = "half"', "tempo = 90").limits == Limits(
        12, 98.0, "half"
    )


def test_limits_bound_every_shape(lesson_path: Path) -> None:
    # Up to fret 3 E flat six has a shape with a barre alone, E flat has 0-3-3-1 (by arithmetic).
    tune = lesson_path.with_name("fog.toml")
    text = tune.read_text(encoding="utf-8")
    assert "Eb6" in text
    tune.write_text(text.replace("Eb6", "Eb"), encoding="utf-8")
    asked = ("hand = 3", "max_fret = 3", "stretch_mm = 60", 'barre = "none"', "tempo = 90")
    played = played_with(lesson_path, MOVES, *asked)
    limits = played.level.limits
    for shape in played.arrangement.shapes:
        assert shape.highest_fret <= 3 and shape.stretch_mm <= 60
        hold = fit(shape.frets, shape.instrument, limits)
        assert hold is not None and not hold.barres


# With few shapes in mind the best is to add nothing, which a level with moves may not.
@pytest.mark.parametrize("preset, moves", [("near the nut", MOVES), ("few shapes", "moves = []")])
def test_a_preset_is_what_the_search_cares_for(lesson_path: Path, preset: str, moves: str) -> None:
    level = (moves, "hand = 3", "tempo = 60")
    usual = played_with(lesson_path, *level).arrangement
    asked = played_with(lesson_path, *level, f'preset = "{preset}"').arrangement
    shapes = {"near the nut": lambda a: sum(s.voicing.highest_fret for s in a.sounding),
              "few shapes": lambda a: len(a.shapes)}[preset]  # fmt: skip
    assert shapes(asked) <= shapes(usual)
    assert asked.cost != usual.cost


def test_a_preset_for_climbing_prefers_the_climb_where_it_may_be_used(lesson_path: Path) -> None:
    climb = 'moves = ["climb", "approach"]'
    assert level_with(lesson_path, climb, 'preset = "climbing"').prefer == "climb"
    assert level_with(lesson_path, MOVES, 'preset = "climbing"').prefer == ""
    assert level_with(lesson_path, climb, 'preset = "smooth"').prefer == ""
    own = level_with(lesson_path, climb, 'preset = "climbing"', 'prefer = "approach"')
    assert own.prefer == "approach"
