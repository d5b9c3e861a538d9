"""Exercises in a notebook: the panels, and beside them what the floor of exercises offers."""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.practice.class_sets import (
        make_set,
        read_results,
        save_results,
        summary,
    )
    from harmonykit.practice.kinds import KINDS, ask
    from harmonykit.practice.pictures import draw_progress, draw_question, draw_verdict
    from harmonykit.practice.progress import Progress
    from harmonykit.practice.question import Question, Spec, Verdict
    from harmonykit.practice.sets import ExerciseSet
    from harmonykit.practice.sitting import Answered
    from harmonykit.practice.theme import Theme
    from harmonykit.practice.themes import theme_of, theme_of_idea
    from harmonykit.workbook.practice.panel import ExercisePanel
    from harmonykit.workbook.practice.set_panel import SetPanel
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
