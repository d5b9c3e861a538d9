"""Exercises: asked from a seed, judged musically, told why, hinted at, and remembered."""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.workbook.practice.answered import Answered
    from harmonykit.workbook.practice.class_sets import (
        make_set,
        read_results,
        save_results,
        summary,
    )
    from harmonykit.workbook.practice.kinds import KINDS, ask
    from harmonykit.workbook.practice.of_ideas import theme_of, theme_of_idea
    from harmonykit.workbook.practice.panel import ExercisePanel
    from harmonykit.workbook.practice.pictures import draw_progress, draw_question, draw_verdict
    from harmonykit.workbook.practice.progress import Progress
    from harmonykit.workbook.practice.question import Question, Spec, Verdict
    from harmonykit.workbook.practice.set_panel import SetPanel
    from harmonykit.workbook.practice.sets import ExerciseSet
    from harmonykit.workbook.practice.theme import Theme
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "KINDS",
    "Answered",
    "ExercisePanel",
    "ExerciseSet",
    "Progress",
    "Question",
    "SetPanel",
    "Spec",
    "Theme",
    "Verdict",
    "ask",
    "draw_progress",
    "draw_question",
    "draw_verdict",
    "make_set",
    "read_results",
    "save_results",
    "summary",
    "theme_of",
    "theme_of_idea",
]
