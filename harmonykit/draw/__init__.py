"""Figures: chord diagrams, necks, clocks, staves, plots; each is one SVG with its words.

A notebook shows what a function returns; ``drawing.save("c.svg")`` writes it.  ``BoxLook`` and the
other looks hold what is set less often.
"""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.draw.drawing import Drawing
    from harmonykit.draw.plots.course import draw_courses as courses
    from harmonykit.draw.plots.distances import draw_distances as distances
    from harmonykit.draw.plots.front import draw_front as front
    from harmonykit.draw.plots.leading import draw_leading as leading
    from harmonykit.draw.plots.matrix import draw_matrix as matrix
    from harmonykit.draw.plots.survey_map import draw_key_map as key_map
    from harmonykit.draw.plots.survey_open import draw_open_shapes as open_shapes
    from harmonykit.draw.plots.survey_tunes import draw_gains as gains
    from harmonykit.draw.plots.survey_tunes import draw_key_profile as key_profile
    from harmonykit.draw.plots.tradeoffs import draw_tradeoffs as tradeoffs
    from harmonykit.draw.sets.clock import ClockLook
    from harmonykit.draw.sets.clock import draw_clock as clock
    from harmonykit.draw.sets.cube import draw_cube as cube
    from harmonykit.draw.shapes.board import NeckLook
    from harmonykit.draw.shapes.box import Page
    from harmonykit.draw.shapes.box import draw_box as box
    from harmonykit.draw.shapes.box import instrument_sheet as shape_sheet
    from harmonykit.draw.shapes.looks import BoxLook
    from harmonykit.draw.shapes.looks import draw_tuning as tuning
    from harmonykit.draw.shapes.neck import draw_neck as neck
    from harmonykit.draw.shapes.on_neck import draw_scale as scale
    from harmonykit.draw.shapes.plain import TextLook
    from harmonykit.draw.shapes.plain import draw_text as text
    from harmonykit.draw.shapes.plain import read_out as spoken
    from harmonykit.draw.shapes.voices import draw_voices as voices
    from harmonykit.draw.staves.staff import draw_staff as staff
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "BoxLook",
    "ClockLook",
    "Drawing",
    "NeckLook",
    "Page",
    "TextLook",
    "box",
    "clock",
    "courses",
    "cube",
    "distances",
    "front",
    "gains",
    "key_map",
    "key_profile",
    "leading",
    "matrix",
    "neck",
    "open_shapes",
    "scale",
    "shape_sheet",
    "spoken",
    "staff",
    "text",
    "tradeoffs",
    "tuning",
    "voices",
]
