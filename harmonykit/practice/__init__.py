"""Exercises: asked from a seed, judged musically, told why, hinted at, and remembered."""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.practice.changes import (
        ChangeStanding,
        change_standings,
        changes_of,
        next_tempo,
    )
    from harmonykit.practice.class_sets import (
        make_set,
        read_results,
        save_results,
        summary,
    )
    from harmonykit.practice.day import asked_about, contrast, daily, reached
    from harmonykit.practice.kinds import KINDS, ask
    from harmonykit.practice.memory import Confusion, Remembered, confusions, remember
    from harmonykit.practice.pictures import draw_progress, draw_question, draw_verdict
    from harmonykit.practice.plain import plain_question, sounds_of
    from harmonykit.practice.progress import Progress
    from harmonykit.practice.question import Question, Spec, Verdict
    from harmonykit.practice.rounds import Round, change_loop, keep_round, read_rounds
    from harmonykit.practice.sets import ExerciseSet
    from harmonykit.practice.sitting import Answered
    from harmonykit.practice.theme import Theme
    from harmonykit.practice.themes import theme_of, theme_of_idea
else:
    __getattr__, __dir__ = offered(
        __name__,
        renamed={name: f"hk.workbook.{name}" for name in ("ExercisePanel", "SetPanel")},
    )

__all__ = [
    "KINDS",
    "Answered",
    "ChangeStanding",
    "Confusion",
    "ExerciseSet",
    "Progress",
    "Question",
    "Remembered",
    "Round",
    "Spec",
    "Theme",
    "Verdict",
    "ask",
    "change_loop",
    "change_standings",
    "changes_of",
    "keep_round",
    "next_tempo",
    "read_rounds",
    "asked_about",
    "confusions",
    "contrast",
    "daily",
    "draw_progress",
    "draw_question",
    "draw_verdict",
    "make_set",
    "plain_question",
    "reached",
    "read_results",
    "remember",
    "save_results",
    "sounds_of",
    "summary",
    "theme_of",
    "theme_of_idea",
]
