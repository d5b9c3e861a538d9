"""What a level of a lesson may ask of the hand and of the search."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import fit
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import gather_handout
from harmonykit.lesson.plan.model import Level, Played
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.sound.events import play


def level_with(path: Path, *lines: str) -> Level:
    _write(path, *lines)
    front, _ = read_lesson(path)
    return front.levels[0]


def played_with(path: Path, *lines: str) -> Played:
    _write(path, *lines)
    return load_lesson(path).played[0]


MOVES = 'moves = ["leading-tone diminished", "rootless dominant"]'


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
    assert own.least_seconds == 1.0 and own.style == "usual"
    assert level_with(lesson_path, "hand = 3", 'barre = "half"', "tempo = 90").limits == Limits(
        12, 98.0, "half"
    )


def test_a_style_that_no_groove_suits_is_refused_before_anything_is_played(
    lesson_path: Path,
) -> None:
    tune = lesson_path.with_name("fog.toml")
    styled = tune.read_text(encoding="utf-8").replace("tempo = 96", 'tempo = 96\nstyle = "xyzzy"')
    tune.write_text(styled, encoding="utf-8")
    with pytest.raises(HarmonyError, match="no groove suits the style 'xyzzy'"):
        read_lesson(lesson_path)


def test_what_is_read_and_put_on_a_sheet_is_not_played_first(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    assert gather_handout(lesson).data
    (played,) = lesson.played
    assert "performance" not in vars(played)
    assert played.performance == play(played.arrangement, played.level.tempo)


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
@pytest.mark.parametrize(
    "preset, moves, other",
    [("low on the neck", MOVES, "usual"), ("few shapes", "moves = []", "smooth")],
)
def test_a_preset_is_what_the_search_cares_for(
    lesson_path: Path, preset: str, moves: str, other: str
) -> None:
    level = (moves, "hand = 3", "tempo = 60")
    usual = played_with(lesson_path, *level, f'preset = "{other}"').arrangement
    asked = played_with(lesson_path, *level, f'preset = "{preset}"').arrangement
    shapes = {"low on the neck": lambda a: sum(s.voicing.highest_fret for s in a.sounding),
              "few shapes": lambda a: len(a.shapes)}[preset]  # fmt: skip
    assert shapes(asked) <= shapes(usual)
    assert asked.cost != usual.cost


def test_a_style_prefers_no_move_and_a_level_may(lesson_path: Path) -> None:
    climb = 'moves = ["ascending walk", "leading-tone diminished"]'
    walking = level_with(lesson_path, climb, 'preset = "walking"')
    assert (walking.style, walking.prefer) == ("walking", "")
    assert level_with(lesson_path, MOVES, 'preset = "smooth"').prefer == ""
    own = level_with(lesson_path, climb, 'preset = "walking"', 'prefer = "leading-tone diminished"')
    assert own.prefer == "leading-tone diminished"


def fault_with(path: Path, *lines: str) -> HarmonyError:
    _write(path, *lines)
    with pytest.raises(HarmonyError) as caught:
        read_lesson(path)
    return caught.value


def test_a_level_that_says_nothing_is_counted(lesson_path: Path) -> None:
    """A first level has the hand of level 1 and two seconds a chord, at the tune's tempo."""
    level = level_with(lesson_path, "")
    assert (level.name, level.moves, level.prefer, level.watch) == ("Level 1", (), "", "")
    assert level.limits.max_fret == 5 and level.least_seconds == 2.0
    assert level.tempo == 96 and level.style == "usual"
    levels = ["[[levels]]"] * 4
    _write(lesson_path, *levels)
    front, _ = read_lesson(lesson_path)
    assert [(each.name, each.least_seconds) for each in front.levels] == [
        ("Level 1", 2.0), ("Level 2", 1.0), ("Level 3", 0.5), ("Level 4", 0.5), ("Level 5", 0.5),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "right", "mend"),
    [
        ("tempo = 19", "tempo = 20", "20 to 400 quarter notes a minute"),
        ("tempo = 401", "tempo = 400", "20 to 400 quarter notes a minute"),
        ("least_seconds = 0.1", "least_seconds = 0.2", "0.2 to 10"),
        ("least_seconds = 11", "least_seconds = 10", "0.2 to 10"),
        ("max_fret = 99", "max_fret = 12", "the ukulele has"),
    ],
)
def test_bounds(lesson_path: Path, line: str, right: str, mend: str) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    fault = fault_with(lesson_path, "hand = 3", line)
    assert mend in fault.rule
    assert fault.place is not None and (fault.place.line, fault.place.column) == (14, 1)
    lesson_path.write_text(text, encoding="utf-8")
    level_with(lesson_path, "hand = 3", right)


def test_the_last_fret_of_a_neck_may_be_asked_for(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    frets = read_lesson(lesson_path)[0].instrument.frets
    assert level_with(lesson_path, f"max_fret = {frets}").limits.max_fret == frets
    lesson_path.write_text(text, encoding="utf-8")
    fault = fault_with(lesson_path, f"max_fret = {frets + 1}")
    assert fault.rule == f"the ukulele has {frets} frets"


@pytest.mark.parametrize(
    ("line", "rule", "mend"),
    [
        ("name = 3", "text in quotes", 'name = "3"'),
        ("name = true", "text in quotes", 'name = "true"'),
        ("name = ['Slow']", "text in quotes", ""),
        ("moves = 'ascending walk'", "a list", 'moves = ["ascending walk"]'),
        ("moves = 3", "a list", ""),
        ("hand = '2'", "a whole number", "hand = 2"),
        ("hand = 2.0", "a whole number", ""),
        ("hand = true", "a whole number", ""),
        ("tempo = ' 90 '", "a number", "tempo = 90"),
        ("tempo = 'fast'", "a number", ""),
        ("tmpo = 90", "", "tempo"),
    ],
)
def test_a_value_of_another_kind_is_told_as_it_is_typed(
    lesson_path: Path, line: str, rule: str, mend: str
) -> None:
    fault = fault_with(lesson_path, line)
    assert (fault.rule, fault.mend) == (rule, mend)
    assert fault.place is not None and fault.place.line == 13


def test_a_key_like_none_is_told_all_of_them(lesson_path: Path) -> None:
    mend = fault_with(lesson_path, "zzzz = 1").mend
    assert mend.startswith("name, moves, prefer") and mend.endswith("watch")


@pytest.mark.parametrize("line", ['name = ""', 'name = "one\\ntwo"', 'watch = "\\u4e00"'])
def test_a_text_that_no_sheet_can_print(lesson_path: Path, line: str) -> None:
    place = fault_with(lesson_path, line).place
    assert place is not None and place.line == 13


def test_what_may_stand_in_several_lines_and_what_may_be_empty(lesson_path: Path) -> None:
    level = level_with(lesson_path, 'watch = "Slowly.\\nThen listen."')
    assert level.watch == "Slowly.\nThen listen."
