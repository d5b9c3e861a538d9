"""Every shape of a handout, once: a box with fingers and notes, at the level where it is new."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.voicing import Voicing
from harmonykit.lesson.handout_figures import LARGE, Figures, roles_of
from harmonykit.show.style import Drawing
from harmonykit.theory.chord import Chord

_APART_MM, _NAMES_APART_MM = 9.2, 1.5
_SIDE_MM = 6.0  # of a box whose name is no wider than its strings and their sides
_ROW_MM = 174.0
_MUTED = "x a string that is not played"


def new_shapes(
    arrangement: Arrangement, known: set[Voicing], figures: Figures
) -> dict[str, Any] | None:
    """Return the shapes that a level brings, in order of their names; None where it brings none.

    Parameters
    ----------
    arrangement : Arrangement
    known : set of Voicing
        The shapes of the levels before; those that are found are added.
    figures : Figures
        Takes in the boxes.
    """
    chords: dict[Voicing, Chord] = {}
    for step in arrangement.sounding:
        if step.chord and step.voicing and step.voicing not in known:
            chords.setdefault(step.voicing, step.chord)
    known |= set(chords)
    if not chords:
        return None
    drawn = {v: figures.box(v, chord, marks="fingers") for v, chord in chords.items()}
    slot = max(_slot(drawing, LARGE if figures.large else 1.0) for drawing in drawn.values())
    widest = max(drawing.width_mm for drawing in drawn.values())
    boxes = [
        {
            "box": figures.add_box(drawing, roles_of(shape, None)),
            "order": f"{chords[shape].symbol} {shape.lowest_fret:02d} {shape.digits}",
        }
        for shape, drawing in drawn.items()
    ]
    return {
        "note": _note(chords),
        "columns": 1 + int((_ROW_MM - widest) / slot),
        "boxes": sorted(boxes, key=lambda box: str(box["order"])),
    }


def _slot(drawing: Drawing, scale: float) -> float:
    """Return how far apart boxes of this width stand: strings and air, or a long name."""
    side = drawing.origin_mm[0]
    strings = drawing.width_mm - 2 * side + _APART_MM * scale
    named = drawing.width_mm + _NAMES_APART_MM if side > _SIDE_MM * scale + 0.001 else 0.0
    return max(strings, named)


def _note(found: Iterable[Voicing]) -> str:
    parts = ["Fingers stand in the marks, from 1, the index finger, to 4", "o an open string"]
    if any(None in shape.frets for shape in found):
        parts.append(_MUTED)
    return "; ".join(parts) + ". Notes below."
