"""Cues for the screen: every figure of a lesson on a page of 16:9, in the order of the script.

The script names them ("Cue 3"), so that whoever gives the lesson knows when to go on.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from harmonykit.draw.drawing import Drawing
from harmonykit.lesson.handout.typeset import set_pdf
from harmonykit.lesson.plan.model import Chart, Lesson, Picture


@dataclass(frozen=True, slots=True)
class Cue:
    """One page for the screen.

    Parameters
    ----------
    number : int
        Counted from 1, as the script says it.
    title : str
        The heading of its section.
    picture : Picture or None
        What is shown; a level's cue shows its name and what to watch.
    lines : tuple of str
    """

    number: int
    title: str
    picture: Picture | None = None
    lines: tuple[str, ...] = ()


def cues_of(lesson: Lesson) -> dict[tuple[int, int], Cue]:
    """Return a lesson's cues, by the place of section and block for which each stands."""
    found: dict[tuple[int, int], Cue] = {}
    for s, section in enumerate(lesson.sections):
        for b, block in enumerate(section.blocks):
            number = len(found) + 1
            if isinstance(block, Picture):
                found[s, b] = Cue(number, section.title, block)
            elif isinstance(block, Chart):
                found[s, b] = Cue(number, section.title, None, tuple(_level_lines(lesson, block)))
    return found


def _level_lines(lesson: Lesson, chart: Chart) -> Iterator[str]:
    level = lesson.played[chart.level].level
    yield f"{lesson.front.tune.title}: {level.name}"
    yield f"{level.tempo:g} to the minute"
    if level.watch:
        yield level.watch


def write_cues(lesson: Lesson) -> bytes:
    """Return the cues of a lesson as a PDF with pages of 16:9."""
    pages = [_page(cue) for cue in cues_of(lesson).values()]
    return set_pdf("cues", {"title": lesson.front.title, "pages": pages})


def _page(cue: Cue) -> dict[str, Any]:
    drawings = cue.picture.drawings if cue.picture else ()
    captions = cue.picture.captions if cue.picture else ()
    return {
        "number": cue.number,
        "title": cue.title,
        "lines": list(cue.lines),
        "figures": [
            _figure(drawing, caption) for drawing, caption in zip(drawings, captions, strict=True)
        ],
    }


def _figure(drawing: Drawing, caption: str) -> dict[str, Any]:
    return {
        "svg": drawing.svg,
        "alt": drawing.alt,
        "wide": drawing.width_mm,
        "high": drawing.height_mm,
        "caption": caption,
    }
