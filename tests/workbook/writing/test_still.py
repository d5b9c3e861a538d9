"""The still picture: bars as long as the minutes, in words too."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from harmonykit.lesson.build import load_lesson
from harmonykit.paths import find_data
from harmonykit.workbook.writing.sides import minutes_of
from harmonykit.workbook.writing.still import draw_still

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
