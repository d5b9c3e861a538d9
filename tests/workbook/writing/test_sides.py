"""What is said beside the text: statements counted, minutes, cautions, rights."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from functools import cache

from harmonykit.errors import HarmonyError, Place
from harmonykit.lesson.activities import section_minutes
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.script import course_minutes, minutes, write_script
from harmonykit.paths import find_data
from harmonykit.workbook.writing.judge import FALSE, PROVED, PUT_IN, USELESS, WAITS, Verdict
from harmonykit.workbook.writing.reader import LessonReader, Look
from harmonykit.workbook.writing.sides import (
    draw_still,
    facts_of,
    minutes_of,
    preview_note,
    shown_verdicts,
    sides_of,
    summary,
)

STIFF = find_data("lessons", "stiff_dominant")


@cache
def lesson() -> Lesson:
    return load_lesson(STIFF)


def look_with(*kinds: str, fault: HarmonyError | None = None) -> Look:
    verdicts = tuple(Verdict(10 + n, 1, f"call{n}()", kind) for n, kind in enumerate(kinds))
    return Look(lesson(), None, verdicts, fault)


def test_the_summary_counts_and_names_lines() -> None:
    assert summary(look_with(PROVED, PUT_IN, PROVED)) == "2 statements are proved."
    assert summary(look_with(PROVED, FALSE, FALSE, USELESS)) == (
        "1 statement is proved, 2 fail (lines 11 and 12), 1 thing cannot be used (line 13)."
    )
    fault = HarmonyError("bad", place=Place("a.md", 5, 1, "text"))
    assert summary(look_with(fault=fault)) == (
        "No statements are proved, 1 thing cannot be used (line 5)."
    )


def test_only_statements_and_faults_are_listed_the_front_matters_first() -> None:
    fault = HarmonyError("bad chord", place=Place("a.md", 5, 3, "chord"), rule="why", mend="Am")
    listed = shown_verdicts(look_with(PUT_IN, WAITS, PROVED, FALSE, fault=fault))
    assert [(row[0], row[2]) for row in listed] == [(5, USELESS), (12, PROVED), (13, FALSE)]
    assert listed[0][4:] == ["bad chord", "why", "Am", "chord", 2]


def test_the_preview_says_where_it_is_behind() -> None:
    assert preview_note(look_with(PROVED)) == ""
    assert "1 place" in preview_note(look_with(FALSE))
    assert "the rest as last shown" in preview_note(look_with(fault=HarmonyError("x")))
    assert "last lesson that could be shown" in preview_note(Look(fault=HarmonyError("x")))


def test_the_minutes_are_of_the_text_once_through_and_the_script_has_every_section() -> None:
    script = write_script(lesson())
    rows = minutes_of(lesson())
    assert [row[0] for row in rows] == [section.title for section in lesson().sections]
    for (title, spent, share), section in zip(rows, lesson().sections, strict=True):
        assert spent == minutes(section_minutes(lesson(), section)) and 0 <= share <= 1
        assert re.search(rf"^## (\d+\. )?{re.escape(title)}( \(|$)", script, re.M)
    assert max(row[2] for row in rows) == 1
    sides = sides_of(Look(lesson()))
    assert sides["total"] == f"{course_minutes(lesson())} once through"
    assert all(f"{shapes} {text}" in script for shapes, text in sides["cautions"])
    assert all(each in script for each in sides["rights"])


def test_minutes_that_are_not_known_yet_are_waited_for() -> None:
    look = LessonReader().look(STIFF, STIFF.read_text(encoding="utf-8"))
    assert look.lesson is not None
    spent = {title: said for title, said, _ in minutes_of(look.lesson)}
    assert spent["First try"] == WAITS and "minute" in spent["Each where it goes by itself"]
    assert sides_of(look)["total"] == ""


def test_facts_are_one_line() -> None:
    said = facts_of(look_with(PROVED), "saved as a.md")
    assert "\n" not in said and said.startswith("The stiff dominant: 11 sections, about")
    assert said.endswith("1 statement is proved. The text is saved as a.md.")
    assert facts_of(Look(fault=HarmonyError("no front matter")), "") == (
        "No lesson yet: no front matter."
    )


SVG = "{http://www.w3.org/2000/svg}"


def test_every_section_stands_with_its_minutes() -> None:
    lesson = load_lesson(find_data("lessons", "scale_of_chords"))
    drawing = draw_still(lesson, "The facts.")
    assert drawing.alt == "The facts."
    texts = ["".join(each.itertext()) for each in ET.fromstring(drawing.svg).iter(f"{SVG}text")]
    for title, spent, _ in minutes_of(lesson):
        assert spent in texts and any(each[:20] == title[:20] for each in texts)
    assert lesson.front.title in texts


def test_without_a_lesson_it_says_so() -> None:
    assert "No lesson yet" in draw_still(None, "Nothing.").svg
