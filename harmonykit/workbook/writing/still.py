"""A still picture of a lesson as it is written: how long each section takes, and what is proved."""

from __future__ import annotations

from typing import TYPE_CHECKING

from harmonykit.draw.base.style import LABEL_PT, NAME_PT, SEMIBOLD
from harmonykit.draw.drawing import Drawing
from harmonykit.lesson.plan.model import Lesson
from harmonykit.workbook.writing.sides import minutes_of

if TYPE_CHECKING:
    from harmonykit.draw.base.canvas import Canvas

_WIDE_MM, _ROW_MM, _TOP_MM = 174.0, 6.0, 12.0
_NAME_MM, _BAR_MM, _LEFT_MM, _THICK_MM = 66.0, 62.0, 2.0, 2.4
_MOST_LETTERS = 40


def draw_still(lesson: Lesson | None, facts: str) -> Drawing:
    """Draw the sections of a lesson as bars as long as their minutes; ``facts`` is the alt text."""
    from harmonykit.draw.base.canvas import Canvas

    rows = minutes_of(lesson) if lesson else []
    canvas = Canvas(_WIDE_MM, _TOP_MM + _ROW_MM * max(len(rows), 1))
    title = lesson.front.title if lesson else "No lesson yet"
    canvas.text(_LEFT_MM, 6, title, NAME_PT, weight=SEMIBOLD, anchor="left")
    for index, (name, spent, share) in enumerate(rows):
        _row(canvas, _TOP_MM + _ROW_MM * (index + 0.5), name, spent, share)
    return canvas.drawing("the lesson", facts)


def _row(canvas: Canvas, y: float, name: str, spent: str, share: float) -> None:
    """Draw a section's name, its bar, and its minutes in words."""
    said = name if len(name) <= _MOST_LETTERS else name[: _MOST_LETTERS - 1] + "…"
    canvas.text(_LEFT_MM, y + 1.2, said, LABEL_PT, anchor="left")
    left = _LEFT_MM + _NAME_MM
    length = max(_BAR_MM * share, 0.4)
    canvas.rectangle(left, y - _THICK_MM / 2, length, _THICK_MM, "ink")
    canvas.text(left + length + 2, y + 1.2, spent, LABEL_PT, anchor="left")
