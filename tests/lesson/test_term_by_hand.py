"""The plan of a term, row by row, on lessons of two bars each.

On g C E A: C is 0-0-0-3, F 2-0-1-0, G7 0-2-1-2, Am 2-0-0-0, Dm 2-2-1-0, Bb 3-2-1-1.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from small_arrangements import Arranged

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.term import (
    MOST_TUNES,
    known_after,
    tunes_in,
    weeks_of,
    write_class,
    write_term,
)
from harmonykit.tune.class_file import ClassFile

OURS = ClassFile.of("Ours", "ukulele", "C 0003", "F 2010", "G7 0212")
BARS = (
    "C=0003 | F=2010", "C=0003 | G7=0212", "Am=2000 | Dm=2210", "F=2010 | Bb=3211",
    "G7=0212 | Am=2000", "C=0003 | C=0003",
)  # fmt: skip


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Lesson:
    return load_lesson(write_lesson(tmp_path_factory.mktemp("term")))


@pytest.fixture
def lessons(small: Lesson, arranged: Arranged) -> list[Lesson]:
    """Return six lessons of two bars; the last is played in one shape."""
    found = []
    for number, bars in enumerate(BARS, 1):
        way, moves = arranged(bars), ("walk", "turn")[: number % 3]
        # What a level may add is not what it adds.
        steps = zip(way.steps, (*moves, "", ""), strict=False)
        way = replace(way, steps=tuple(replace(step, move=move) for step, move in steps))
        level = replace(small.played[0].level, moves=("walk", "turn", "push"), name="Level")
        played = (replace(small.played[0], level=level, arrangement=way),)
        front = replace(small.front, title=f"Lesson {number}", tune=way.tune, levels=(level,))
        found.append(replace(small, front=front, played=played))
    return found


def test_each_week_has_its_grips_its_hardest_change_and_what_comes_back(
    lessons: list[Lesson], tmp_path: Path
) -> None:
    """One week, two and four later; a week without a change has nothing that could come back."""
    term = write_term("Spring", [*lessons, lessons[0]], OURS, tmp_path)
    head, rule, *rows = term.split("\n\n")[1].splitlines()
    assert term.startswith("# Spring: term plan\n\n") and term.endswith("\n")
    assert head == "| week | lesson | tune | new grips | hardest change | warm up with |"
    assert rule == "| --- | --- | --- | --- | --- | --- |"
    tune = "Ebb at the Weir"
    assert rows == [
        f"| 1 | Lesson 1 | {tune} | 0 | C to F |  |",
        f"| 2 | Lesson 2 | {tune} | 0 | C to G7 | C to F (week 1) |",
        f"| 3 | Lesson 3 | {tune} | 2 | Am to Dm | C to G7 (week 2); C to F (week 1) |",
        f"| 4 | Lesson 4 | {tune} | 1 | F to B♭ | Am to Dm (week 3); C to G7 (week 2) |",
        f"| 5 | Lesson 5 | {tune} | 0 | G7 to Am | F to B♭ (week 4); Am to Dm (week 3); "
        "C to F (week 1) |",
        f"| 6 | Lesson 6 | {tune} | 0 |  | G7 to Am (week 5); F to B♭ (week 4); C to G7 (week 2) |",
        f"| 7 | Lesson 1 | {tune} | 0 | C to F | G7 to Am (week 5); Am to Dm (week 3) |",
    ]


def test_what_follows_what_and_what_is_gained(lessons: list[Lesson], tmp_path: Path) -> None:
    _, _, follows, gained = write_term("Spring", lessons[:4], OURS, tmp_path).split("\n\n", 3)
    heading, *ideas = follows.splitlines()
    assert heading == "## Which idea follows which"
    # Moves by turns: one, both, none.
    follows, _, gained = gained.partition("## What this class gained\n\n")
    assert follows.splitlines()[:4] == [
        "1. Lesson 1: new: walk.",
        "2. Lesson 2: new: turn; comes back: walk (lesson 1).",
        "3. Lesson 3: the tune as written.",
        "4. Lesson 4: comes back: walk (lesson 1).",
    ]
    grips, changes, tunes = gained.splitlines()
    assert grips.startswith("- Grips on the ukulele, 3: ")
    assert [word in grips for word in ("Am", "Dm", "B", "C,", "G7")] == [True] * 3 + [False] * 2
    assert changes == (
        "- Changes at tempo: C to F at 120 beats a minute; C to G7 at 120 beats a minute; "
        "Am to Dm at 120 beats a minute; F to B♭ at 120 beats a minute."
    )
    assert tunes == "- Tunes in your folder: each needs at least two more grips."
    nothing = write_term("Spring", lessons[:1], OURS, tmp_path)
    assert "- Grips on the ukulele, 0: none that are new." in nothing


def put(folder: Path, name: str, changes: str) -> None:
    (folder / f"{name}.toml").write_text(
        f'format = 1\ntitle = "{name}"\nkey = "C"\nmeter = "4/4"\n[[sections]]\nname = "A"\n'
        f'changes = "{changes}"\n',
        encoding="utf-8",
    )


def test_tunes_are_listed_that_can_be_played_now_or_with_one_more_grip(
    lessons: list[Lesson], tmp_path: Path
) -> None:
    put(tmp_path, "Whole", "| C | F | G7 |")
    put(tmp_path, "Nearly", "| C | Bb | F |")
    put(tmp_path, "Far", "| Eb | Ab | C |")
    put(tmp_path, "Silence", "| N.C. | N.C. |")
    (tmp_path / "spoilt.toml").write_text("= nothing", encoding="utf-8")
    (tmp_path / "notes.txt").write_text("| C |", encoding="utf-8")
    (tmp_path / "folder.toml").mkdir()
    gained = write_term("Spring", lessons[:1], OURS, tmp_path).splitlines()[-2:]
    assert gained == [
        "- Tunes in your folder that it can play now: Whole.", "- With one more grip: Nearly (B♭).",
    ]  # fmt: skip
    assert [tune.title for tune in tunes_in(tmp_path)] == ["Far", "Nearly", "Whole"]
    # Twelve of a sort are listed, no more.
    for number in range(10, 24):
        put(tmp_path, f"Whole {number}", "| C | F |")
        put(tmp_path, f"Nearly {number}", "| C | Bb |")
    now, more = write_term("Spring", lessons[:1], OURS, tmp_path).splitlines()[-2:]
    assert (now.count("Whole"), more.count("Nearly")) == (12, 12)


def test_no_more_than_three_hundred_files_are_read(tmp_path: Path) -> None:
    assert MOST_TUNES == 300
    for number in range(299):
        (tmp_path / f"a{number:03}.toml").write_text("= nothing", encoding="utf-8")
    put(tmp_path, "b", "| C |")
    put(tmp_path, "c", "| C |")
    assert [tune.title for tune in tunes_in(tmp_path)] == ["b"]


def test_a_class_file_has_each_form_once_under_its_first_name(lessons: list[Lesson]) -> None:
    """2-3-2-3 is a diminished seventh, movable: 4-5-4-5 is the same form."""
    known = ClassFile.of("Ours", "ukulele", "C 0003", "Adim7 2323", "Bdim7 4545", "Am7 0000")
    assert write_class(replace(known, minutes=50)) == (
        'format = 1\nname = "Ours"\ninstruments = ["ukulele"]\nminutes = 50\n'
        'voices = "A3 to C5"\n\n[grips]\n'
        '"ukulele" = ["C 0-0-0-3", "Adim7 2-3-2-3", "Am7 0-0-0-0"]\n'
    )
    after = known_after(weeks_of(lessons), None)
    assert after.name == "the class" and len(after.grips) == 6
    assert write_class(after).splitlines()[2] == 'instruments = ["ukulele"]'
