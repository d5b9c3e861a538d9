"""The diagrams over a row of a chart: each at its chord, none over another; or else its frets.

Conventions.  A diagram stands where its shape first comes in the level.  A page that has no room
for all of them has smaller ones; or those alone of shapes that no level before has, and of the
others the frets, where they first come.  A chord whose shape is not the one that its name had
before has the frets too: one that comes back to another shape, or a shape under another name.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.bars import Row
from harmonykit.lesson.handout.figures import LARGE, Figures
from harmonykit.values import dataclass

_END_MM = 1.8
# Between the outer strings of two diagrams: marks keep clear of each other, and the number of a
# fret stands nearer to its own strings than to those beside it.
_GAP_MM, _NUMBER_MM = 5.2, 8.0
# Frets stand in the line of the bar numbers, in the largest type that these have.
_FRETS_PT, _BESIDE_MM, _BACK_MM = 10.5, 1.6, 6.0
# Down from the top of the bar: that line, and where frets stand that have no room in it; how high
# a row is that has room for these, and how far marks reach beside a diagram.
_LINE_MM, _OVER_LINE_MM, _ABOVE_MM, _MARK_MM = 3.0, -0.9, 5.0, 2.5
# A number stands so much further behind the dots of a repeat.
_DOTS_MM = 1.6


@dataclass(frozen=True, slots=True)
class Over:
    """Which diagrams stand over a chart.

    Parameters
    ----------
    size : str
        How large they are, as ``BoxLook`` has it.
    known : frozenset of Voicing
        Shapes that have their frets instead.
    """

    size: str = "over"
    known: frozenset[Voicing] = frozenset()


SMALL = "chart"
"""The size of diagrams where a page has no room for larger ones."""


def boxes_over(
    row: Row, figures: Figures, drawn: set[Voicing], end: float, how: Over
) -> list[dict[str, Any]]:
    """Return the diagrams of shapes that come first in a row, and note them as drawn.

    One that would stand nearer to another chord than to its own, or begin over the bar before,
    waits until its shape comes again.
    """
    chords = [(bar.at(cell.at), cell.step, bar.x) for bar in row for cell in bar.cells if cell.name]
    found: list[dict[str, Any]] = []
    for place, (at, step, line) in enumerate(chords):
        shape = step.voicing
        if shape is None or step.alone or shape in drawn | how.known:
            continue
        box = figures.box(shape, BoxLook(size=how.size, notes=False), marks="plain", small=True)
        left, _ = box.origin_mm
        near = [abs(chords[n][0] - at) for n in (place - 1, place + 1) if 0 <= n < len(chords)]
        one = {
            "x": at, "at": at, "may": min([*near, end]) / 2, "left": left, "line": line,
            "wide": box.width_mm - 2 * left, "high": box.height_mm,
            "frets": shape.digits,
            "number": window(shape.frets)[0] > 1, "mirrored": figures.left_handed,
        }  # fmt: skip
        if _pushed([*found, one], end):
            drawn.add(shape)
            found.append(one | {"box": figures.add(box, large=LARGE)})
    _pushed(found, end)
    return found


def frets_over(
    row: Row,
    bars: Sequence[dict[str, Any]],
    drawn: set[Voicing],
    named: dict[str, Voicing],
    boxes: Sequence[dict[str, Any]],
    how: Over,
    space: tuple[float, float],
) -> list[dict[str, Any]]:
    """Return the frets of shapes that wait for their diagram or change, each over its chord.

    With neither a chord would be played in the shape that it had before.  Shapes that have frets
    instead of a diagram have them once, and are noted as drawn; a chord that goes back to another
    shape has them again.  They stand in the line of the bar numbers; where that has no room, above
    it, if the row has.

    Parameters
    ----------
    row : tuple of ChartBar
    bars : sequence of dict
        The same bars as they are set, each with its number.
    drawn : set of Voicing
        The shapes that have their diagram, over this row or one before it.
    named : dict
        The shape that each name had last, over this row or one before it; what is found is added.
    boxes : sequence of dict
        The diagrams over this row.
    how : Over
    space : tuple of float
        How large frets are set at least, in points on a page that is not larger; and how high what
        stands over the row's bars is, in mm.
    """
    type_pt, room = space
    found: list[dict[str, Any]] = []
    here = {box["frets"]: box["at"] for box in boxes}
    taken = [_taken(box) for box in boxes]
    for bar, told in zip(row, bars, strict=True):
        label, dots = told["label"], _DOTS_MM if told["open"] == "repeat" else 0.0
        # As airy as it can be, or else as the type allows.
        edges = {}
        for size in (_FRETS_PT, type_pt):
            wide = dots + text_width(label, size) + _BESIDE_MM if label else 0.0
            edges[size] = bar.x + _BESIDE_MM + wide
        above = room >= _ABOVE_MM and not (told["ending"] or told["over"] or told["after"])
        ends = [*(at for _, at in bar.named[1:]), bar.clear][: len(bar.named)]
        for (cell, at), end in zip(bar.named, ends, strict=True):
            shape = cell.step.voicing
            if shape is None or cell.step.alone:
                continue
            seen = shape in drawn and here.get(shape.digits, at) <= at
            if seen and (here.get(shape.digits) == at or named.get(cell.name) == shape):
                named[cell.name] = shape
                continue
            wides = {size: text_width(shape.digits, size) for size in edges}
            spots = (_spot(bar.clear - wides[size], at, end, edges[size]) for size in edges)
            x, y = next((spot for spot in spots if spot is not None), None), _LINE_MM
            if x is not None:
                edges = {size: x + wide + _BESIDE_MM for size, wide in wides.items()}
            elif above and (x := _over_it(bar.clear, at, end, wides[type_pt], taken)) is not None:
                y = _OVER_LINE_MM
                taken.append((x, x + wides[type_pt] + _BESIDE_MM))
            if x is not None:
                found.append({"x": x, "y": y, "text": shape.digits})
                drawn |= {shape} & how.known
                named[cell.name] = shape
    return found


def _spot(last: float, at: float, end: float, edge: float) -> float | None:
    """Return where frets begin in the line of the bar numbers, nearer their chord than the next."""
    # What would run over the bar line may begin a little before its chord.
    x = min(max(at, edge), max(last, at - _BACK_MM))
    return x if edge <= x <= last and x - at <= (end - at) / 2 else None


def _over_it(
    clear: float, at: float, end: float, wide: float, taken: Sequence[tuple[float, float]]
) -> float | None:
    """Return where frets begin above the line of the bar numbers, beside all diagrams."""
    x = min(at, max(clear - wide, at - _BACK_MM))
    free = all(x + wide < left or x >= right for left, right in taken)
    return x if free and x + wide <= min(clear, end + _BESIDE_MM) else None


def _taken(box: dict[str, Any]) -> tuple[float, float]:
    """Return from where to where a diagram is wide, with its marks and its number."""
    left, right = (
        _NUMBER_MM - _BESIDE_MM if box["number"] and box["mirrored"] == after else _MARK_MM
        for after in (False, True)
    )
    return box["x"] - left, box["x"] + box["wide"] + right


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
    return all(abs(box["x"] - box["at"]) < box["may"] and box["x"] >= box["line"] for box in boxes)
