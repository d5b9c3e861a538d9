"""The handout: a lesson as a PDF for the class, set by typst; several lessons as one book.

All that is printed goes to the page's template (``shared/templates/handout.typ``) as data, never as
markup.  The same lesson gives the same bytes.

Pages.  The idea, the shape and the neck stand on the first; each level has one; then come what
moves, the parents and an exercise; the answers have a page of their own.  Every shape is shown once
with fingers and notes: on the page of the level that brings it where there is room, else behind the
levels, and what follows the levels begins on the last one's page where there is room.

A short tune at one level takes four pages, its answers among them.  More are needed for each
further level, and one where the shapes that are new find no room on the levels' pages (sixteen bars
at two levels: six; five with the answers upside down).  A level takes two pages where even with a
box for each shape once only it is too long: 32 bars with three chords a bar that hardly repeat.
An instrument of six strings needs one more for its neck, and large print about three times as many.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from harmonykit.lesson.handout_figures import Figures
from harmonykit.lesson.handout_front import front_page
from harmonykit.lesson.handout_levels import level_pages
from harmonykit.lesson.handout_signs import legible, said_of
from harmonykit.lesson.handout_text import plain, unbroken
from harmonykit.lesson.handout_turn import ANSWERS, last_page
from harmonykit.lesson.model import Lesson, LessonError
from harmonykit.lesson.typeset import PdfStandard, set_pdf


@dataclass(frozen=True, slots=True)
class Variant:
    """For whom a handout is set.

    Parameters
    ----------
    palette : str
        Of the figures: ``"print"``, or ``"one ink"`` for a school's copier.
    left_handed : bool
        Whether boxes and neck are mirrored.
    large : bool
        Large print: boxes of twice the size, no text under 16 points.
    answers : {"page", "upside down"}
        The exercise's answers on a page of their own, or upside down under it.
    """

    palette: str = "print"
    left_handed: bool = False
    large: bool = False
    answers: str = ANSWERS[0]

    def __post_init__(self) -> None:
        if self.answers not in ANSWERS:
            known = ", ".join(map(repr, ANSWERS))
            raise LessonError(f"{self.answers!r} is no place for answers", mend=known)

    def figures(self) -> Figures:
        """Return an empty collection of figures for this variant."""
        return Figures(self.palette, left_handed=self.left_handed, large=self.large)


def write_handout(
    lesson: Lesson,
    *,
    palette: str = "print",
    left_handed: bool = False,
    large: bool = False,
    answers: str = ANSWERS[0],
) -> bytes:
    """Return a lesson's handout as a PDF, tagged, with bookmarks and alt text.

    Parameters
    ----------
    lesson : Lesson
    palette, left_handed, large, answers
        See :class:`Variant`.

    Raises
    ------
    HarmonyError
        For an unknown palette or place for the answers.
    """
    return set_pages(handout_data(lesson, Variant(palette, left_handed, large, answers)))


def write_book(
    lessons: Sequence[Lesson],
    *,
    title: str = "",
    palette: str = "print",
    left_handed: bool = False,
    large: bool = False,
    answers: str = ANSWERS[0],
) -> bytes:
    """Return the handouts of several lessons as one PDF, behind a page of contents.

    Parameters
    ----------
    lessons : sequence of Lesson
        In order; the first one's paper is the book's.
    title : str
        The group of the lessons unless given.
    palette, left_handed, large, answers
        See :class:`Variant`.

    Raises
    ------
    HarmonyError
        For no lesson at all, and as for one handout.
    """
    if not lessons:
        raise LessonError("a book of no lessons", rule="one at least")
    return set_pages(book_data(lessons, title, Variant(palette, left_handed, large, answers)))


def set_pages(data: dict[str, Any], *, standard: PdfStandard | None = None) -> bytes:
    """Return the pages of a handout's data as a PDF; a standard asks for proof that it is kept."""
    return set_pdf("handout", data, standard=standard)


def handout_data(lesson: Lesson, variant: Variant | None = None) -> dict[str, Any]:
    """Return a handout as plain data: its pages, and the figures that they name."""
    front = lesson.front
    document = {"title": front.title, "author": front.group, "subtitle": front.subtitle}
    return _data([lesson], document, variant or Variant()) | {"book": None}


def book_data(lessons: Sequence[Lesson], title: str, variant: Variant) -> dict[str, Any]:
    """Return a book of handouts as plain data."""
    groups = list(dict.fromkeys(one.front.group for one in lessons if one.front.group))
    name = title or (groups[0] if len(groups) == 1 else "Lessons")
    document = {"title": name, "author": ", ".join(groups), "subtitle": "A book of handouts"}
    return _data(lessons, document, variant) | {"book": legible(unbroken(name), {})}


def _data(lessons: Sequence[Lesson], document: dict[str, str], variant: Variant) -> dict[str, Any]:
    figures = variant.figures()
    return {
        "lessons": [_lesson(lesson, figures, variant.answers) for lesson in lessons],
        "document": document,
        "paper": lessons[0].front.paper,
        "large": variant.large,
        "marks": figures.marks(),
        "figures": figures.table(),
    }


def _lesson(lesson: Lesson, figures: Figures, answers: str) -> dict[str, Any]:
    data = front_page(lesson, figures) | {"levels": level_pages(lesson, figures)}
    data |= last_page(lesson, figures, answers) | {"sample": lesson.front.shape_chord.unicode}
    lacking: dict[str, None] = {}
    printed: dict[str, Any] = legible(data, lacking)
    if lacking:
        printed["small"].append(plain(said_of(lacking)))
    return printed
