"""The diagrams over a row of a chart: each at its chord, none over another."""

from itertools import pairwise
from typing import Any

from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.bars import Row
from harmonykit.lesson.handout.figures import LARGE, Figures

_END_MM = 1.8
# Between the outer strings of two diagrams: marks keep clear of each other, and the number of a
# fret stands nearer to its own strings than to those beside it.
_GAP_MM, _NUMBER_MM = 5.2, 8.0


def boxes_over(row: Row, figures: Figures, drawn: set[Voicing], end: float) -> list[dict[str, Any]]:
    """Return the diagrams of shapes that come first in a row, and note them as drawn.

    One that would stand nearer to another chord than to its own waits until its shape comes again.
    """
    chords = [(bar.at(cell.at), cell.step) for bar in row for cell in bar.cells if cell.name]
    found: list[dict[str, Any]] = []
    for place, (at, step) in enumerate(chords):
        shape = step.voicing
        if shape is None or step.alone or shape in drawn:
            continue
        box = figures.box(shape, BoxLook(size="over", notes=False), marks="plain", small=True)
        left, _ = box.origin_mm
        near = [abs(chords[n][0] - at) for n in (place - 1, place + 1) if 0 <= n < len(chords)]
        one = {
            "x": at, "at": at, "may": min([*near, end]) / 2, "left": left,
            "wide": box.width_mm - 2 * left, "high": box.height_mm,
            "number": window(shape.frets)[0] > 1, "mirrored": figures.left_handed,
        }  # fmt: skip
        if _pushed([*found, one], end):
            drawn.add(shape)
            found.append(one | {"box": figures.add(box, large=LARGE)})
    _pushed(found, end)
    return found


def _pushed(boxes: list[dict[str, Any]], end: float) -> bool:
    """Push boxes apart, and say whether each still stands at its own chord."""
    gaps = [
        _NUMBER_MM if (one if one["mirrored"] else other)["number"] else _GAP_MM
        for one, other in pairwise(boxes)
    ]
    edge, limit = 0.0, end - _END_MM
    for box, gap in zip(boxes, [*gaps, 0.0], strict=False):
        box["x"] = max(box["at"], edge)
        edge = box["x"] + box["wide"] + gap
    for box, gap in zip(reversed(boxes), [*reversed(gaps), 0.0], strict=False):
        box["x"] = min(box["x"], limit - box["wide"])
        limit = box["x"] - gap
    return all(abs(box["x"] - box["at"]) < box["may"] for box in boxes)
