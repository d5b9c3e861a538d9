"""The first page: the idea, the shape and its four outcomes, the neck."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout_figures import Figures
from harmonykit.lesson.handout_front import first_clock, front_page
from harmonykit.lesson.model import Lesson
from harmonykit.paths import find_data
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def shipped() -> Lesson:
    return load_lesson(find_data("lessons", "diminished_bridge"))


def test_the_idea_is_the_text_of_the_first_section(shipped: Lesson) -> None:
    page = front_page(shipped, Figures())
    assert ["2-3-2-3", "b"] in page["idea"][0] and len(page["idea"]) == 3


def test_four_doors(shipped: Lesson) -> None:
    """On g C E A: g A♭7 to D♭, C D7 to G, E F7 to B♭, A B7 to E (by arithmetic)."""
    figures = Figures()
    outcomes = front_page(shipped, figures)["doors"]["outcomes"]
    assert [(one["label"], one["target"]) for one in outcomes] == [
        ("lower g", "D♭"), ("lower C", "G"), ("lower E", "B♭"), ("lower A", "E"),
    ]  # fmt: skip
    alts = [figures.table()[one["box"]]["alt"] for one in outcomes]
    assert [alt.split(":")[0] for alt in alts] == [
        "A flat seven", "D seven", "F seven", "B seven",
    ]  # fmt: skip


def test_frets_with_two_names_are_told(shipped: Lesson) -> None:
    """B7 has D♯ where A°7 has E♭, and A♭7 has G♭ where D7 has F♯."""
    note = front_page(shipped, Figures())["doors"]["note"]
    assert "D♯ and E♭, F♯ and G♭ are one fret" in note and "open string" not in note


def test_an_open_string_cannot_be_lowered(shipped: Lesson) -> None:
    front = replace(
        shipped.front, shape=Voicing.parse("0101", UKULELE), shape_chord=Chord.parse("C#dim7")
    )
    doors = front_page(replace(shipped, front=front), Figures())["doors"]
    assert len(doors["outcomes"]) == 2 and "An open string cannot be lowered." in doors["note"]


def test_the_clock_is_the_lessons_own_or_the_first_parents(
    shipped: Lesson, lesson_path: Path
) -> None:
    figures = Figures()
    assert first_clock(shipped) is not None
    page = front_page(shipped, figures)
    clock = figures.table()[page["clock"]]
    assert "D seven" in clock["alt"] and {"root", "was"} <= set(clock["roles"])
    assert "#16243b" not in clock["svg"]  # the screen's ink is black in print
    drawn = Figures()
    page = front_page(load_lesson(lesson_path), drawn)
    assert "A flat seven" in drawn.table()[page["clock"]]["alt"]


def test_the_neck_in_order(shipped: Lesson) -> None:
    """The chord scale on C, every string one scale step up (by arithmetic)."""
    order = front_page(shipped, Figures())["neck"]["order"]
    assert [digits for digits, _ in order] == (
        "0-0-0-0 1-2-1-2 2-4-3-3 4-5-4-5 5-7-5-7 7-8-7-8 9-9-8-10 10-11-10-11 12-12-12-12".split()
    )
    assert [style for _, style in order] == ["b", ""] * 4 + ["b"]
