"""The panels of the notebooks, each from a module of its own, and the links between them."""

from harmonykit.workbook.chord_scale_panel import ChordScalePanel
from harmonykit.workbook.clock_panel import ClockPanel
from harmonykit.workbook.distance_panel import DistancePanel
from harmonykit.workbook.neck_panel import NeckPanel
from harmonykit.workbook.one_note_panel import OneNotePanel
from harmonykit.workbook.panel import link

__all__ = [
    "ChordScalePanel",
    "ClockPanel",
    "DistancePanel",
    "NeckPanel",
    "OneNotePanel",
    "link",
]
