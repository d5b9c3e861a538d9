"""Cues for the screen: one page a figure and a level, as the script counts them."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pypdf
import pytest

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.cues import cues_of, write_cues
from harmonykit.lesson.plan.model import Chart, Lesson, Picture
from harmonykit.lesson.script import write_script
from harmonykit.paths import find_data


@pytest.fixture(scope="module")
def lesson() -> Lesson:
    return load_lesson(Path(find_data("lessons", "stiff_dominant")))


def test_every_figure_and_level_has_a_cue(lesson: Lesson) -> None:
    blocks = [b for s in lesson.sections for b in s.blocks if isinstance(b, Picture | Chart)]
    cues = list(cues_of(lesson).values())
    assert [cue.number for cue in cues] == list(range(1, len(blocks) + 1))


def test_the_script_calls_them_in_order(lesson: Lesson) -> None:
    called = [int(n) for n in re.findall(r"\*\*Cue (\d+)", write_script(lesson))]
    assert called == [cue.number for cue in cues_of(lesson).values()]


def test_pages_are_sixteen_by_nine_and_say_their_number(lesson: Lesson) -> None:
    data = write_cues(lesson)
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    assert len(pages) == len(cues_of(lesson))
    for number, page in enumerate(pages, 1):
        assert float(page.mediabox.width) / float(page.mediabox.height) == pytest.approx(16 / 9)
        assert f"Cue {number}" in page.extract_text()
    assert data == write_cues(lesson)
