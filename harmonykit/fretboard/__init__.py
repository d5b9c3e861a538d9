"""Strings, hands and shapes.

``hk.find_voicings`` finds the shapes of a chord, ``hk.read_shape`` the chord of a shape.  Here is
what a shape asks of a hand: ``fingering``, ``difficulty``, ``changes`` from shape to shape.
"""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.fretboard.hands.change import Change, changes
    from harmonykit.fretboard.hands.difficulty import Difficulty, difficulty
    from harmonykit.fretboard.hands.hand import Fingering
    from harmonykit.fretboard.hands.holding import can_hold
    from harmonykit.fretboard.hands.holding import fit as fingering
    from harmonykit.fretboard.hands.progression import fingerings
    from harmonykit.fretboard.hands.travel import travel_mm
    from harmonykit.fretboard.shapes.finding import Wanted
    from harmonykit.fretboard.shapes.grips import Grip, Kin
    from harmonykit.fretboard.shapes.nearest import Near
    from harmonykit.fretboard.shapes.reading import Makeup, ShapeReading, makeup
    from harmonykit.fretboard.shapes.row_textures import (
        ROW_TEXTURES,
        texture_missing,
        texture_shapes,
    )
    from harmonykit.fretboard.shapes.textures import register_marks
    from harmonykit.fretboard.strings.shipped import names as instruments
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "ROW_TEXTURES",
    "Change",
    "Difficulty",
    "Fingering",
    "Grip",
    "Kin",
    "Makeup",
    "Near",
    "ShapeReading",
    "Wanted",
    "can_hold",
    "changes",
    "difficulty",
    "fingering",
    "fingerings",
    "instruments",
    "makeup",
    "register_marks",
    "texture_missing",
    "texture_shapes",
    "travel_mm",
]
