"""The handout: a lesson as a PDF for the class, set by typst; several lessons as one book.

All that is printed goes to the page's template (``shared/templates/handout.typ``) as data, never as
markup.  The same lesson gives the same bytes.

Pages.  The idea stands on the first, with the shape and its four dominants, and the scale along the
neck, where the lesson speaks of them.  Each level is an opening: its chart on a left page, its
shapes facing it.  Behind the levels stand the tune with its melody, where no chart had room for it,
the exercise, the four dominants and the reasons of the added chords.  The answers stand on a page
of their own behind the rest and are not counted with it: they are handed out later.

Of the forms of a chart, and of the shapes beside it, the richest is taken that a page holds;
nothing is set smaller.  Large print is planned anew, two bars a row and a page a section: at most
twice the pages.  Where it spares a page, shapes that are known stand smaller and without their
notes, and what closes a level stands under its chart.

Signs that the fonts lack are empty squares, and told.  A build refuses a lesson with such signs
before it begins; a sheet that is drawn while somebody still types shows them so.
"""

import unicodedata
from collections.abc import Sequence
from typing import Any

from harmonykit.draw.base.fonts import printable
from harmonykit.lesson.handout import levels, turn
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.front import front_page
from harmonykit.lesson.handout.text import bound, plain, unbroken
from harmonykit.lesson.handout.typeset import Unset
from harmonykit.lesson.plan.keys import variant_parts
from harmonykit.lesson.plan.model import Lesson, LessonError
from harmonykit.values import dataclass


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
        Large print: larger boxes and charts, no text under 16 points.
    answers : {"page", "upside down"}
        The exercise's answers on a page of their own, or upside down under it.
    tablet : bool
        One screen of 3:4 a page, upright, to be read on a stand; never with large print.
    landscape : bool
        The screen lies across, 4:3; of a tablet alone.
    """

    palette: str = "print"
    left_handed: bool = False
    large: bool = False
    answers: str = turn.ANSWERS[0]
    tablet: bool = False
    landscape: bool = False

    @classmethod
    def named(cls, name: str) -> "Variant":
        """Return the variant of a name in a lesson's file.

        Examples
        --------
        >>> Variant.named("large print, left-handed")
        Variant(palette='print', left_handed=True, large=True, answers='page', tablet=False, \
landscape=False)
        """
        parts = variant_parts(name)
        return cls(
            palette="one ink" if "one ink" in parts else "print",
            left_handed="left-handed" in parts,
            large="large print" in parts,
            tablet=any(part.startswith("tablet") for part in parts),
            landscape="tablet landscape" in parts,
        )

    def __post_init__(self) -> None:
        if self.landscape and not self.tablet:
            raise LessonError("a sheet that lies across", rule="a tablet alone lies across")
        if self.tablet and self.large:
            what = "a handout for a tablet in large print"
            raise LessonError(what, rule="a tablet makes a page larger by two fingers")
        if self.answers not in turn.ANSWERS:
            known = ", ".join(map(repr, turn.ANSWERS))
            raise LessonError(f"{self.answers!r} is not a place for answers", mend=known)

    def figures(self, *, left_handed: bool) -> Figures:
        """Return an empty collection of figures for this variant; for a hand where it says none."""
        left_handed = left_handed or self.left_handed
        return Figures(self.palette, left_handed=left_handed, large=self.large, tablet=self.tablet)


def gather_handout(lesson: Lesson, variant: Variant | None = None) -> Unset:
    """Return a lesson's handout, yet to be set as a PDF, tagged, with bookmarks and alt text.

    Parameters
    ----------
    lesson : Lesson
    variant : Variant, optional
        For whom it is set; for most hands and eyes unless given.

    Raises
    ------
    HarmonyError
        For an unknown palette.
    """
    return Unset.of("handout", handout_data(lesson, variant))


def gather_book(
    lessons: Sequence[Lesson],
    *,
    title: str = "",
    palette: str = "print",
    left_handed: bool = False,
    large: bool = False,
    answers: str = turn.ANSWERS[0],
) -> Unset:
    """Return the handouts of several lessons, yet to be set behind a page of contents.

    Parameters
    ----------
    lessons : sequence of Lesson
        In order; the first one's paper is the book's.
    title : str
        The group of the lessons unless given.
    palette, left_handed, large, answers
        See ``Variant``.

    Raises
    ------
    HarmonyError
        For no lesson at all, and as for one handout.
    """
    if not lessons:
        raise LessonError("a book without lessons", rule="at least one")
    variant = Variant(palette, left_handed, large, answers)
    return Unset.of("handout", book_data(lessons, title, variant))


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
    strung = all(lesson.front.instrument.left_handed for lesson in lessons)
    figures = variant.figures(left_handed=strung)
    return {
        "lessons": [_lesson(lesson, figures, variant.answers) for lesson in lessons],
        "document": document,
        "paper": lessons[0].front.paper,
        "large": variant.large,
        "tablet": variant.tablet,
        "landscape": variant.landscape,
        "marks": figures.marks(),
        "figures": figures.table(),
    }


def _lesson(lesson: Lesson, figures: Figures, answers: str) -> dict[str, Any]:
    data = front_page(lesson, figures) | {"levels": levels.level_pages(lesson, figures)}
    data |= {"sung": levels.sung_page(lesson, figures)}
    data |= turn.last_page(lesson, figures, answers)
    lacking: dict[str, None] = {}
    printed: dict[str, Any] = legible(data, lacking)
    if lacking:
        printed["small"].append(plain(said_of(lacking)))
    return printed


MISSING = "\u25a1"

_MOST_TOLD = 6
_UNSEEN = ("Cf", "Mn", "Me", "Cs", "Co")


def legible(value: Any, lacking: dict[str, None]) -> Any:
    """Return plain data with every text made printable; signs that are lacking are noted.

    Parameters
    ----------
    value : str, list, dict or other
        Walked through to its texts; numbers stay.
    lacking : dict of str to None
        Takes in the signs for which an empty square stands, in order.

    Examples
    --------
    >>> lacking = {}
    >>> legible({"title": "Ebb \u6f6e tide"}, lacking), list(lacking)
    ({'title': 'Ebb □ tide'}, ['潮'])
    """
    if isinstance(value, str):
        return _printed(bound(value), lacking)
    if isinstance(value, dict):
        return {key: legible(part, lacking) for key, part in value.items()}
    if isinstance(value, list):
        return [legible(part, lacking) for part in value]
    return value


def _printed(text: str, lacking: dict[str, None]) -> str:
    known = printable()
    composed = unicodedata.normalize("NFC", text)
    return "".join(s if ord(s) in known else _instead(s, lacking) for s in composed)


def _instead(sign: str, lacking: dict[str, None]) -> str:
    """Return what stands for a sign that the fonts lack; a joiner or a control leaves no square."""
    category = unicodedata.category(sign)
    if sign.isspace():
        return " "
    if category in _UNSEEN or category == "Cc":
        return ""
    lacking[sign] = None
    return MISSING


def said_of(lacking: dict[str, None]) -> str:
    """Return a sentence on the signs for which squares stand; empty for none.

    Examples
    --------
    >>> said_of({"\u6f6e": None})
    '□ replaces a character that the fonts of this sheet lack: U+6F6E.'
    """
    if not lacking:
        return ""
    codes = [f"U+{ord(sign):04X}" for sign in lacking]
    more = " and others" if len(codes) > _MOST_TOLD else ""
    return (
        f"{MISSING} replaces a character that the fonts of this sheet lack: "
        f"{', '.join(codes[:_MOST_TOLD])}{more}."
    )
