"""The shapes of a level: boxes with fingers and notes, each with its figures and all its names.

The sheet shows them in one of two sizes, all that a level needs or those alone that are new in it,
as there is room; so they travel in both, and the page's template chooses.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.base.style import Drawing
from harmonykit.draw.shapes.box_look import BOX_SIZES
from harmonykit.draw.shapes.window import window
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.figures import LARGE, Figures, roles_of
from harmonykit.lesson.plan.shown import Shown
from harmonykit.theory.chord import Chord

_APART_MM, _NAMES_APART_MM = 9.2, 1.5
_CHART_APART_MM, _TWO_FIGURES_MM = 5.8, 1.4  # a fret's number of two figures wants more air
_SIDE_MM = 6.0  # of a box whose name is no wider than its strings and their sides
_ROW_MM = 174.0
_MUTED = "x a string that is not played"

Names = dict[Voicing, tuple[Chord, ...]]


def level_shapes(
    arrangement: Arrangement, known: set[Voicing], figures: Figures
) -> dict[str, Any] | None:
    """Return the shapes of a level in order of their names; None where nothing sounds.

    Parameters
    ----------
    arrangement : Arrangement
    known : set of Voicing
        The shapes of the levels before; those that are found are added.
    figures : Figures
        Takes in the boxes.
    """
    named = names_of(arrangement)
    if not named:
        return None
    sizes = ("plain",) if figures.large else ("plain", "chart")
    drawn = {size: {v: _draw(v, named[v][0], size, figures) for v in named} for size in sizes}
    boxes = [
        {
            "boxes": {
                size: figures.add_box(drawn[size][shape], roles_of(shape, None)) for size in sizes
            },
            "digits": shape.digits,
            "also": [Shown(shape, chord).printed for chord in chords[1:]],
            "new": shape not in known,
            "order": f"{chords[0].symbol} {shape.lowest_fret:02d} {shape.digits}",
        }
        for shape, chords in named.items()
    ]
    told = bool(known)
    known |= set(named)
    return {
        "note": "" if told else _note(named),
        "columns": {size: _columns(drawn[size], size, figures) for size in sizes},
        "boxes": sorted(boxes, key=lambda box: str(box["order"])),
    }


def names_of(arrangement: Arrangement) -> Names:
    """Return the shapes of a level as they first come, each with the chords that it stands for."""
    found: dict[Voicing, dict[Chord, None]] = {}
    for step in arrangement.sounding:
        if step.chord and step.voicing:
            found.setdefault(step.voicing, {})[step.chord] = None
    return {shape: tuple(chords) for shape, chords in found.items()}


def _draw(shape: Voicing, chord: Chord, size: str, figures: Figures) -> Drawing:
    return figures.box(Shown(shape, chord), notes=True, marks="fingers", size=size)


def _columns(drawn: Mapping[Voicing, Drawing], size: str, figures: Figures) -> int:
    """Return how many boxes share a row: strings and air apart, or as far as long names need."""
    boxes = list(drawn.values())
    high = any(window(shape.frets)[0] >= 10 for shape in drawn)
    scale = LARGE if figures.large else 1.0
    air = _APART_MM * scale
    if size == "chart":
        air = _CHART_APART_MM + _TWO_FIGURES_MM * high
    side = _SIDE_MM * (BOX_SIZES["sheet"].side if figures.large else 1.0)
    slot = max(_slot(drawing, side, air) for drawing in boxes)
    widest = max(drawing.width_mm for drawing in boxes)
    return 1 + int((_ROW_MM - widest) / slot)


def _slot(drawing: Drawing, plain_side: float, air: float) -> float:
    side = drawing.origin_mm[0]
    strings = drawing.width_mm - 2 * side + air
    named = drawing.width_mm + _NAMES_APART_MM if side > plain_side + 0.001 else 0.0
    return max(strings, named)


def _note(found: Mapping[Voicing, object]) -> str:
    parts = ["Fingers stand in the marks, 1 the index finger", "o an open string"]
    if any(None in shape.frets for shape in found):
        parts.append(_MUTED)
    return "; ".join(parts) + ". Notes below."
