"""What its author puts on the idea's page: whole sections, single figures and tables, pictures."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from harmonykit.lesson.handout.figures import LARGE, Figures
from harmonykit.lesson.handout.text import paragraphs, unbroken
from harmonykit.lesson.plan.model import Block, Lesson, Picture, Section, Table, Text
from harmonykit.lesson.plan.pictures import MOST_MM, own_pictures

Part = dict[str, Any]


def blocks_of(lesson: Lesson) -> Iterator[tuple[str, Block]]:
    """Yield the blocks that may stand on paper, each with the title of its section.

    Those of a section that its author keeps off the sheet are left out.
    """
    for section in lesson.sections:
        if section.paper != "no":
            yield from ((section.title, block) for block in section.blocks)


def own_parts(lesson: Lesson, figures: Figures, chosen: list[Picture]) -> Iterator[Part]:
    """Yield what its author puts on the sheet, in order, under the titles of its sections.

    A section that is on paper has its text, its figures, its tables and its pictures there; of any
    other the chosen figures, the tables that are on paper, and the lesson's own pictures.

    Parameters
    ----------
    lesson : Lesson
    figures : Figures
        Takes in the figures.
    chosen : list of Picture
        The figures of other sections that stand on the sheet.
    """
    folder = lesson.front.path.parent
    for place, section in enumerate(lesson.sections):
        if section.paper == "no":
            continue
        whole = section.paper == "yes"
        parts = [
            part
            for block in section.blocks
            for part in _parts(block, figures, folder, chosen, whole=whole and place > 0)
        ]
        if whole and place == 0:
            # Its text is the idea, at the head of the page.
            parts = [part for part in parts if "text" not in part]
        if parts:
            yield {"title": unbroken(section.title), "parts": parts}


def _parts(
    block: Block, figures: Figures, folder: Path, chosen: list[Picture], *, whole: bool
) -> Iterator[Part]:
    match block:
        case Text():
            if whole and (told := paragraphs(block.markdown)):
                yield {"text": told}
            for one in own_pictures(block.markdown, folder):
                yield {"figures": [figures.add_own(one)], "captions": [unbroken(one.alt)]}
        case Picture():
            if block in chosen or (whole and block.paper != "no"):
                drawn = block.for_hand(left=figures.left_handed)
                # In large print letters would touch in figures of their size on a screen.
                grown = min([LARGE, *(MOST_MM / one.width_mm for one in drawn)])
                keys = [
                    figures.add(figures.recoloured(one), large=max(1.0, grown)) for one in drawn
                ]
                yield {"figures": keys, "captions": [unbroken(each) for each in block.captions]}
        case Table():
            if block.paper == "yes" or (whole and block.paper != "no"):
                rows = [[unbroken(cell) for cell in row] for row in block.rows]
                yield {"header": list(block.header), "rows": rows}


def idea_of(lesson: Lesson) -> Section | None:
    """Return the section whose text stands at the head of the page; None where it has none."""
    first = lesson.sections[0] if lesson.sections else None
    return None if first is None or first.paper == "no" else first
