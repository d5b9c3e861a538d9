"""From a lesson file to what a class is given.

``hk.build_lesson`` makes handout, page, scores and sound from one file; ``first_draft`` writes such
a file for a tune; ``check_answer`` judges what a student hands back, ``hear_playing`` a recording.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.lesson.activities import section_minutes
    from harmonykit.lesson.build import load_lesson as read_lesson
    from harmonykit.lesson.check import Report, check_answer
    from harmonykit.lesson.course import build_course
    from harmonykit.lesson.draft.writing import draft as first_draft
    from harmonykit.lesson.draft.writing import write_draft as write_first_draft
    from harmonykit.lesson.listening import hear_playing
    from harmonykit.lesson.plan.model import Lesson, LessonError
    from harmonykit.lesson.script import course_minutes, minutes
    from harmonykit.lesson.statements.every_root import exactly
    from harmonykit.lesson.statements.facts import apart, leads_to, same_notes, set_class, share
    from harmonykit.lesson.verdicts import Heard, Hearing
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "Heard",
    "Hearing",
    "Lesson",
    "LessonError",
    "Report",
    "apart",
    "build_course",
    "check_answer",
    "course_minutes",
    "exactly",
    "first_draft",
    "hear_playing",
    "leads_to",
    "minutes",
    "read_lesson",
    "same_notes",
    "section_minutes",
    "set_class",
    "share",
    "write_first_draft",
]
