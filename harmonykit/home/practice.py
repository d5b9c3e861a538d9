"""The page of questions: one file that asks, explains, sounds and remembers, without a server.

It has three hundred questions with their answers and reasons, the scheduler that brings them back,
and a code for the results, which ``home.codes`` reads.  It asks nothing of any other place.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any
from zlib import crc32

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.marks import ROLES, draw_mark
from harmonykit.draw.base.web import script
from harmonykit.draw.svg import VARIABLES, Pen, write_parts
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.home.asked import MOST, questions_of
from harmonykit.home.codes import ORDER, SIGNS
from harmonykit.home.figures import shape_figure
from harmonykit.lesson.page import shell
from harmonykit.lesson.plan.model import Lesson
from harmonykit.practice.changes import Change, changes_played, named_changes
from harmonykit.practice.day import TITLES
from harmonykit.practice.kinds import KINDS
from harmonykit.practice.theme import Theme
from harmonykit.practice.themes import theme_of
from harmonykit.sound.strung import numbers
from harmonykit.theory.chord import Chord

TITLE = "Chords, shapes and where they lead"
MOST_CHANGES = 24
_MARK_MM = 10.0


def mark_of(title: str) -> str:
    """Return three signs that stand for a page in results.

    Examples
    --------
    >>> len(mark_of("The stiff dominant"))
    3
    """
    number = crc32(title.encode())
    return "".join(SIGNS[(number >> shift) % 32] for shift in (10, 5, 0))


def title_of(theme: Theme) -> str:
    """Return the title of a page about a theme."""
    return theme.title or TITLE


def write_practice(theme: Theme, most: int = MOST, changes: Sequence[Change] | None = None) -> str:
    """Return a page of questions about a theme, as HTML.

    Parameters
    ----------
    theme : Theme
    most : int
        How many questions at most.
    changes : sequence of Change, optional
        The changes of shapes that are practised; those of the theme unless given.

    Examples
    --------
    >>> page = write_practice(Theme("Four dominants", diminished=("Bdim7",)), 5)
    >>> "Four dominants" in page, page.count("<script")
    (True, 3)
    """
    title = title_of(theme)
    practised = named_changes(theme) if changes is None else changes
    text = f'"use strict";\n{script("practice/page.js")}'
    style = shell.base_css() + shell.shared_text("practice.css")
    return shell.template("practice.html.jinja").render(
        title=title,
        policy=shell.policy(text, style),
        style=style,
        script=text,
        marks=marks(),
        music=shell.for_script(music(theme)),
        questions=shell.for_script(_book(theme, title, most, practised)),
    )


def write_lessons_practice(lesson: Lesson, most: int = MOST) -> str:
    """Return a page of questions about a lesson, with the changes that its levels play."""
    played = changes_played(each.arrangement for each in lesson.played)
    return write_practice(theme_of(lesson.front), most, played)


def music(theme: Theme) -> dict[str, Any]:
    """What the page's sound reads: the open strings, and how a string sounds."""
    return {**numbers(theme.neck), "strings": theme.neck.midi, "levels": []}


def _book(theme: Theme, title: str, most: int, changes: Sequence[Change]) -> dict[str, Any]:
    questions = questions_of(theme, most)
    kinds = {each["kind"] for each in questions}
    return {
        "title": title,
        "mark": mark_of(title),
        "strings": list(theme.neck.labels),
        "kinds": {name: kind.title for name, kind in KINDS.items() if name in kinds},
        "order": list(ORDER),
        "notebooks": [] if theme.title else [[n, f"{n} {title}"] for n, title in TITLES.items()],
        "taught": {name: KINDS[name].taught for name in kinds},
        "changes": [_change(theme, each) for each in changes[:MOST_CHANGES]],
        "questions": questions,
    }


def _change(theme: Theme, change: Change) -> dict[str, Any]:
    """Return a change of shapes as the page shows and sounds it."""
    sides, pitches = [], []
    rows = ((change.before, change.first), (change.after, change.second))
    for digits, symbol in rows:
        shape = Voicing.parse(digits, theme.neck)
        chord = Chord.parse(symbol) if symbol else None
        name = chord.unicode if chord is not None else digits
        sides.append({**shape_figure(shape, chord), "name": name, "say": digits})
        pitches.append([(midi, n) for n, midi in enumerate(shape.midi) if midi is not None])
    before, after = sides
    return {
        "id": f"{change.before}>{change.after}",
        "say": f"{before['name']} to {after['name']}",
        "before": before,
        "after": after,
        "pitches": pitches,
    }


@lru_cache(maxsize=1)
def marks() -> str:
    """Return every mark once, 10 mm wide about the origin, to be used by its id."""
    pen = Pen(colours=VARIABLES)
    found = []
    for role in ROLES:
        canvas = Canvas(_MARK_MM, _MARK_MM)
        draw_mark(canvas, 0.0, 0.0, role, _MARK_MM)
        found.append(f'<g id="mark-{role}">{write_parts(canvas.parts, pen)}</g>')
    return f"<defs>{''.join(found)}</defs>"
