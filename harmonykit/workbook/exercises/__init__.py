"""Exercises: asked from a seed, judged musically, told why, hinted at, and remembered."""

from harmonykit.workbook.exercises.answered import Answered
from harmonykit.workbook.exercises.curve import draw_progress
from harmonykit.workbook.exercises.kinds import KINDS, ask
from harmonykit.workbook.exercises.panel import ExercisePanel
from harmonykit.workbook.exercises.pictures import draw_question, draw_verdict
from harmonykit.workbook.exercises.progress import Progress
from harmonykit.workbook.exercises.question import Question, Spec, Verdict
from harmonykit.workbook.exercises.results import read_results, save_results, summary
from harmonykit.workbook.exercises.set_panel import SetPanel
from harmonykit.workbook.exercises.sets import ExerciseSet, make_set
from harmonykit.workbook.exercises.theme import Theme, theme_of

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
]
